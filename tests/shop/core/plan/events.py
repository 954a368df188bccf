"""What happens to a shop at work: it goes on as planned for a while, and then something comes up.

All events are invented.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from random import Random

from shop.core.calendar import Closure
from shop.core.plan.problem import Order, Problem, Task, Told
from shop.core.plan.schedule import Booking
from tests.shop.core.plan.shops import DAY_SHIFT, at

HAPPENS, TOLD_UNTIL = at(10, day=2), at(0, day=4)
"""Ten o'clock of the third day; people were told their work until the end of the next."""
MOVE_PRICE = 120.0

Event = Callable[[Problem, Mapping[str, Booking], Random], Problem]


def as_of(
    problem: Problem, plan: Mapping[str, Booking], now: datetime
) -> tuple[Problem, Mapping[str, Booking]]:
    """The shop later on, all done as planned until then, and what is left of its plan."""
    done = {key for key, b in plan.items() if b.end <= now}
    begun = {key for key, b in plan.items() if b.start < now < b.end}
    tasks: list[Task] = []
    for task in problem.tasks:
        booking = plan[task.key]
        held = booking.end + timedelta(minutes=task.gear_hold_min)
        if task.key in done and task.gear and held > now:
            minutes = (held - now) / timedelta(minutes=1)
            hold = Task(key=f"{task.key} held", minutes=minutes, gear=task.gear, under_way=True)
            tasks.append(hold)
        if task.key in begun:
            left = sum(((b - max(a, now)) for a, b in booking.pieces if b > now), timedelta())
            tasks.append(
                replace(
                    task,
                    minutes=left / timedelta(minutes=1),
                    setup_min=0.0,
                    after=(),
                    release=None,
                    under_way=True,
                    pinned_station=booking.station,
                    pinned_hand=booking.hand,
                )
            )
        elif task.key not in done:
            ready = [plan[k].end + timedelta(minutes=task.lag_min) for k in task.after if k in done]
            release = max([*ready, *([task.release] if task.release else [])], default=None)
            said = Told(start=booking.start, station=booking.station, hands=booking.hands)
            tasks.append(
                replace(
                    task,
                    after=tuple(key for key in task.after if key not in done),
                    release=release if release is not None and release > now else None,
                    told=said if booking.start < TOLD_UNTIL else None,
                )
            )
    family = _set_up(problem, plan, now)
    later = replace(
        problem,
        now=now,
        tasks=tuple(tasks),
        resources=tuple(replace(r, family=family.get(r.key, r.family)) for r in problem.resources),
        move_price=MOVE_PRICE,
    )
    return later, {key: booking for key, booking in plan.items() if key not in done}


def _set_up(problem: Problem, plan: Mapping[str, Booking], now: datetime) -> dict[str, str]:
    """What each station is set up for by then."""
    family: dict[str, str] = {}
    for task in sorted(problem.tasks, key=lambda task: plan[task.key].start):
        booking = plan[task.key]
        if booking.start < now and booking.station is not None:
            family[booking.station] = task.family
    return family


def _changed(problem: Problem, wanted: Callable[[Task], bool], **changes: object) -> Problem:
    tasks = tuple(replace(t, **changes) if wanted(t) else t for t in problem.tasks)  # type: ignore[arg-type]
    return replace(problem, tasks=tasks)


def _under_way(problem: Problem) -> list[Task]:
    return [t for t in problem.tasks if t.under_way and t.pinned_hand is not None]


def longer(problem: Problem, known: Mapping[str, Booking], random: Random) -> Problem:
    """What is under way takes two hours more."""
    task = random.choice(_under_way(problem))
    return _changed(problem, lambda t: t.key == task.key, minutes=task.minutes + 120)


def shorter(problem: Problem, known: Mapping[str, Booking], random: Random) -> Problem:
    """What is under way is as good as done."""
    longest = max(_under_way(problem), key=lambda task: task.minutes)
    return _changed(problem, lambda t: t.key == longest.key, minutes=problem.tick_min)


def machine_down(problem: Problem, known: Mapping[str, Booking], random: Random) -> Problem:
    """A machine that people were told to use stands still for four hours."""
    used = sorted({t.told.station or "" for t in problem.tasks if t.told} - {"bench", ""})
    return _closed(problem, random.choice(used), HAPPENS + timedelta(hours=4))


def hand_ill(problem: Problem, known: Mapping[str, Booking], random: Random) -> Problem:
    """A hand goes home and is back the day after tomorrow; others may go on with the work."""
    hand = random.choice([r.key for r in problem.resources if r.kind == "hand"])
    home = _changed(
        problem,
        lambda t: t.under_way and t.pinned_hand == hand,
        under_way=False,
        pinned_hand=None,
        pinned_station=None,
    )
    return _closed(home, hand, at(0, day=4))


def rush(problem: Problem, known: Mapping[str, Booking], random: Random) -> Problem:
    """An order weighs four times as much and is due after three fifths of the time."""
    alive = sorted({t.order for t in problem.tasks if t.order})
    order = random.choice(alive)

    def hurried(it: Order) -> Order:
        if it.key != order or it.due is None:
            return it
        left = max(timedelta(days=1), (it.due - problem.now) * 0.6)
        return replace(it, due=problem.now + left, weight=4.0)

    return replace(problem, orders=tuple(map(hurried, problem.orders)))


def spoiled(problem: Problem, known: Mapping[str, Booking], random: Random) -> Problem:
    """A part has to be sawn and planed again before the next dry fit."""
    fits = [t for t in problem.tasks if t.key.endswith("dry fit") and not t.under_way]
    fit = min(random.sample(fits, min(4, len(fits))), key=lambda t: known[t.key].start)
    sawn = Task(key="again saw", minutes=25, stations=("saw",), skills={"machine": 1})
    planed = Task(key="again planer", minutes=30, stations=("planer",), skills={"machine": 1})
    new = (
        replace(sawn, order=fit.order),
        replace(planed, order=fit.order, after=("again saw",)),
    )
    waits = _changed(problem, lambda t: t.key == fit.key, after=(*fit.after, "again planer"))
    return replace(waits, tasks=(*waits.tasks, *new))


def late_timber(problem: Problem, known: Mapping[str, Booking], random: Random) -> Problem:
    """The timber of an order comes two days late; what is sawn is sawn."""
    saws = [t for t in problem.tasks if t.key.endswith(" saw") and not t.under_way]
    told = [t for t in saws if t.told is not None] or saws
    order = random.choice(told).order
    keys = {t.key for t in saws if t.order == order}
    return _changed(problem, lambda t: t.key in keys, release=problem.now + timedelta(days=2))


EVENTS: Mapping[str, Event] = {
    "longer": longer,
    "shorter": shorter,
    "machine down": machine_down,
    "hand ill": hand_ill,
    "rush order": rush,
    "spoiled part": spoiled,
    "late timber": late_timber,
}


def _closed(problem: Problem, key: str, until: datetime) -> Problem:
    gone = replace(DAY_SHIFT, closures=(Closure(start=problem.now, end=until, reason="gone"),))
    return replace(
        problem,
        calendars={**problem.calendars, "gone": gone},
        resources=tuple(
            replace(r, calendar="gone") if r.key == key else r for r in problem.resources
        ),
    )
