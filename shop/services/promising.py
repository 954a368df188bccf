"""Dates that can be promised: for a commission nobody has begun, and for every order in a plan."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Prefetch

from orders.core.errors import NotNow, NotReady, RuleBroken
from orders.core.stages import Stage
from orders.core.times import StationKind
from orders.models import Commission
from orders.services.release import steps_of
from orders.services.working_order import Step
from shop.core.calendar import HORIZON
from shop.core.plan import schedule as core
from shop.core.plan.again import put_again
from shop.core.plan.floor import Floor, lay_out
from shop.core.plan.measure import bookings_of
from shop.core.plan.planner import horizons
from shop.core.plan.planner import plan as make_plan
from shop.core.plan.problem import Away, Order, Problem, Task
from shop.core.plan.promise import Promise, promises
from shop.core.plan.refuse import require_sound
from shop.core.plan.schedule import Budget
from shop.models import Booking, Hand, Plan, PlanChange, Workshop

from .keys import hand_key, station_key, task_key
from .outwork import BACK, OUT, Outwork, goes_away
from .problem import means_of, problem_for, require_means
from .work_tasks import held_task, work_task

RULES_ONLY = Budget(evaluations=3)
ROOM = timedelta(days=60)
AHEAD = frozenset({Stage.ENQUIRY, Stage.QUOTED, Stage.ACCEPTED})
NEW = "new"
LONG_MIN = 24 * 60
"""A shorter wait is one for the night."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HonestDate:
    """When a commission can be done beside all that is in work, without disturbing any of it.

    `planned_on` is the day if all goes as the standard times say; half of such orders are done by
    `even_on`, four in five by `promised_on`, nine in ten by `safe_on`. `starts_on` is the day of
    its first operation, `work_min` its standard minutes. `waits_for` names the kind of station that
    its operations wait for longest, and `waits_min` how long, nights included; empty where they
    hardly do.
    """

    starts_on: date
    planned_on: date
    even_on: date
    promised_on: date
    safe_on: date
    work_min: float
    waits_for: str
    waits_min: float


def earliest_honest_date(
    commission: Commission, *, now: datetime, not_before: date | None = None
) -> HonestDate:
    """Where a commission that is not in work yet would find room, were it accepted now.

    `not_before` is the day from which it can be worked on; it never is before its timber arrives.
    The plan in force is kept: what it does not know and the commission take the room that is left.

    Raises NotNow for a commission in work or past it, NotReady when there is nothing to do in it or
    nobody or no station to do it, and RuleBroken or RulesBroken when the work of the shop cannot be
    planned or the day is too far off.
    """
    workshop = commission.workshop
    not_before = max(filter(None, (not_before, commission.timber_on)), default=None)
    _require_ahead(commission, now, not_before)
    zone = ZoneInfo(workshop.time_zone)
    steps = steps_of(commission)
    require_means(
        ((s.timed.station_kind.value, s.timed.skill.value) for s in steps), *means_of(workshop)
    )
    shop = problem_for(workshop, now)
    release = None
    if not_before is not None and not_before > now.astimezone(zone).date():
        release = datetime.combine(not_before, time(), zone)
    both = _with(shop, list(tasks_of(workshop, steps, release, NEW)))
    if any(task.away for task in both.tasks):
        Outwork.of(workshop, now).require_days(now)
    require_sound(both)
    floor, bookings = _fitted(shop, both, known_bookings(workshop))
    mine = {key: booking for key, booking in bookings.items() if key.startswith(NEW)}
    promise = promises(both, floor, bookings)[NEW]
    kind, waits = _longest_wait(both, mine)
    return HonestDate(
        starts_on=_day(min(b.start for b in mine.values()), zone),
        planned_on=_day(promise.planned, zone),
        even_on=_day(promise.p50, zone),
        promised_on=_day(max(promise.p80, promise.planned), zone),
        safe_on=_day(max(promise.p90, promise.planned), zone),
        work_min=sum(step.minutes for step in steps),
        waits_for=kind,
        waits_min=waits,
    )


def promises_of(problem: Problem, bookings: Iterable[core.Booking]) -> Mapping[str, Promise]:
    """The promise of every order in a plan, by its key in the planner."""
    by_task = {booking.task: booking for booking in bookings}
    if not by_task:
        return {}
    floor = lay_out(problem, max(b.end for b in by_task.values()) + ROOM)
    return promises(problem, floor, by_task)


def known_bookings(workshop: Workshop) -> dict[str, core.Booking]:
    """The bookings of the plan in force as the planner knows them, by task."""
    return bookings_known(Plan.objects.of(workshop).in_force().first())


def bookings_known(plan: Plan | None) -> dict[str, core.Booking]:
    """The bookings of a plan as the planner knows them, by task; none without a plan."""
    if plan is None:
        return {}
    rows = Booking.objects.filter(plan=plan).prefetch_related(
        Prefetch("helpers", queryset=Hand.objects.only("pk"))
    )
    return {task_key(row.operation_id): _known(row) for row in rows}


def bookings_without(
    change: PlanChange, known: Mapping[str, core.Booking]
) -> dict[str, core.Booking]:
    """The bookings that are known, but what a change moved and nothing since is where it was."""
    before, after = bookings_known(change.before), bookings_known(change.after)
    return {
        key: before[key] if key in before and booking == after.get(key) else booking
        for key, booking in known.items()
    }


def _known(row: Booking) -> core.Booking:
    return core.Booking(
        task=task_key(row.operation_id),
        station=station_key(row.station_id) if row.station_id is not None else None,
        hand=hand_key(row.hand_id) if row.hand_id is not None else None,
        helpers=tuple(hand_key(hand.pk) for hand in row.helpers.all()),
        start=row.starts_at,
        end=row.ends_at,
        pieces=((row.starts_at, row.ends_at),),
        overtime=tuple(
            (datetime.fromisoformat(start), datetime.fromisoformat(end))
            for start, end in row.overtime
        ),
    )


def _require_ahead(commission: Commission, now: datetime, not_before: date | None) -> None:
    if commission.stage not in AHEAD:
        raise NotNow(f"{commission.mark} is in work already; the plan says when it is done.")
    if not_before is not None and not_before > (now + HORIZON / 2).date():
        raise RuleBroken("not_before", "Name a day within the next year.")


def _with(shop: Problem, tasks: Sequence[Task]) -> Problem:
    """The shop and one order more."""
    order = Order(key=NEW, label="the new order", weight=0)
    return replace(shop, tasks=(*shop.tasks, *tasks), orders=(*shop.orders, order))


def tasks_of(
    workshop: Workshop, steps: Sequence[Step], release: datetime | None, order: str
) -> Iterable[Task]:
    """The tasks of a commission that is not in work yet, under an order's key."""
    goes = goes_away(workshop)
    sent = [goes and step.timed.station_kind is StationKind.OUTWORK for step in steps]
    held = [is_sent or step.cure_min > 0 for step, is_sent in zip(steps, sent, strict=True)]
    kept = {i for step in steps for i in step.after if held[i]}
    for i, step in enumerate(steps):
        timed = step.timed
        yield work_task(
            f"{order} {i}",
            label=step.name,
            whole_min=step.minutes,
            setup_min=timed.setup_min,
            spread=timed.spread,
            station_kind=timed.station_kind.value,
            skill=timed.skill.value,
            is_light=workshop.counts_as_light(timed.code, timed.station_kind),
            after=(
                f"{order} {j} held" if j in kept else f"{order} {j}" for j in sorted(step.after)
            ),
            release=release,
            order=order,
        )
        if i in kept:
            yield held_task(
                f"{order} {i} held",
                label=step.name,
                cure_min=step.cure_min,
                away=Away(out=OUT, back=BACK, days=workshop.outwork_days) if sent[i] else None,
                after=f"{order} {i}",
                order=order,
            )


def _fitted(
    shop: Problem, both: Problem, known: Mapping[str, core.Booking]
) -> tuple[Floor, dict[str, core.Booking]]:
    """The work in hand as it is planned, and the new order in what is left."""
    if shop.tasks and not known:
        known = {b.task: b for b in make_plan(shop, budget=RULES_ONLY).bookings}
    for until, _ in horizons(both):
        if shop.tasks:
            floor = lay_out(shop, until)
            placement = put_again(shop, floor, known)
            if placement is None:
                continue
            known = {b.task: b for b in bookings_of(shop, floor, placement)}
        floor = lay_out(both, until)
        placement = put_again(both, floor, known)
        if placement is not None:
            return floor, {b.task: b for b in bookings_of(both, floor, placement)}
    raise NotReady(
        "The shop has no room for this commission in two years: open more hours or take work out."
    )


def _longest_wait(problem: Problem, mine: Mapping[str, core.Booking]) -> tuple[str, float]:
    """The kind of station that the order waits for longest, beyond what comes before it."""
    waits: dict[str, float] = {}
    for task in problem.tasks:
        if task.key in mine and task.station_kind:
            ready = [mine[key].end for key in task.after if key in mine]
            ready += [problem.now, *([task.release] if task.release else [])]
            minutes = (mine[task.key].start - max(ready)) / timedelta(minutes=1)
            waits[task.station_kind] = waits.get(task.station_kind, 0.0) + minutes
    kind, longest = max(waits.items(), key=lambda pair: pair[1], default=("", 0.0))
    return (kind, longest) if longest >= LONG_MIN else ("", 0.0)


def _day(at: datetime, zone: ZoneInfo) -> date:
    """The day of the workshop; what is done at midnight is done the day before."""
    return (at.astimezone(UTC) - timedelta(microseconds=1)).astimezone(zone).date()
