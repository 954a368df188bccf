"""What a shop may suppose of itself, and the problem of the planner that follows from it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import ClassVar, Literal

from orders.core.errors import RuleBroken
from shop.core.calendar import Calendar, Closure, Shift
from shop.core.plan.problem import Order, Problem, Resource, Task

LEAST_OVERTIME_MIN, LONGEST_OVERTIME_MIN = 15, 300
LONGEST_NAME = 40
DEAREST_OVERTIME = 100.0
LATEST = time(23, 59)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hire:
    """Another hand, by a name, with levels of skills and the hours of a calendar (its id)."""

    kind: Literal["hire"] = "hire"
    name: str
    skills: Mapping[str, int]
    calendar: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Overtime:
    """So many minutes more on each of these weekdays (0 is Monday), by one hand or by all (None).

    They come after the last hour of the day, one that may be offered already included; on a day off
    they begin when the week usually does. The stations may stay open as long. They are worked where
    that pays: an hour of it counts as much as `price` hours that an order of weight 1 is late.
    """

    kind: Literal["overtime"] = "overtime"
    minutes: int
    weekdays: tuple[int, ...] = (0, 1, 2, 3, 4)
    hand: int | None = None
    price: float = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondStation:
    """Another station like one that there is (its id)."""

    kind: Literal["station"] = "station"
    station: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeOrder:
    """A commission that is not in work yet (its id), taken on now."""

    kind: Literal["order"] = "order"
    commission: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LeaveOut:
    """An order in work (its commission's id) whose operations are not done."""

    kind: Literal["leave"] = "leave"
    commission: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """A hand that is away or a station that stands still for a time."""

    kind: Literal["away"] = "away"
    starts_at: datetime
    ends_at: datetime
    hand: int | None = None
    station: int | None = None


Change = Hire | Overtime | SecondStation | TakeOrder | LeaveOut | Away


@dataclass(frozen=True, slots=True, kw_only=True)
class SupposedOrder:
    """An order that a scenario adds, with its tasks."""

    order: Order
    tasks: tuple[Task, ...]

    PREFIX: ClassVar[str] = "new"


def faults_of(change: Change) -> Iterable[RuleBroken]:
    """What of a change no shop could do, whatever it has."""
    match change:
        case Hire():
            yield from _faults_of_hire(change)
        case Overtime():
            yield from _faults_of_overtime(change)
        case Away():
            yield from _faults_of_away(change)


def _faults_of_hire(change: Hire) -> Iterable[RuleBroken]:
    if not change.name.strip() or len(change.name) > LONGEST_NAME:
        yield RuleBroken("name", f"Give a name of at most {LONGEST_NAME} letters.")
    if not change.skills:
        yield RuleBroken("skills", "Give at least one skill; nothing can be planned without.")
    for skill, level in change.skills.items():
        if not 1 <= level <= 3:
            yield RuleBroken(f"skills/{skill}", "A level is 1 (learning), 2 (able) or 3 (master).")


def _faults_of_overtime(change: Overtime) -> Iterable[RuleBroken]:
    if not LEAST_OVERTIME_MIN <= change.minutes <= LONGEST_OVERTIME_MIN:
        yield RuleBroken(
            "minutes", f"Give from {LEAST_OVERTIME_MIN} to {LONGEST_OVERTIME_MIN} minutes a day."
        )
    if not 0 < change.price <= DEAREST_OVERTIME:
        yield RuleBroken("price", f"Give more than 0 and at most {DEAREST_OVERTIME:g} hours late.")
    if not change.weekdays:
        yield RuleBroken("weekdays", "Choose at least one weekday.")
    elif not set(change.weekdays) <= set(range(7)):
        yield RuleBroken("weekdays", "A weekday is a number from 0 (Monday) to 6 (Sunday).")


def _faults_of_away(change: Away) -> Iterable[RuleBroken]:
    if (change.hand is None) == (change.station is None):
        yield RuleBroken("hand", "Choose one hand or one station.")
    naive = [name for name in ("starts_at", "ends_at") if getattr(change, name).tzinfo is None]
    for name in naive:
        yield RuleBroken(name, "Give the time with its time zone.")
    if not naive and change.ends_at <= change.starts_at:
        yield RuleBroken("ends_at", "The end must be later than the start.")


def with_hand(
    problem: Problem, key: str, name: str, skills: Mapping[str, int], calendar: Calendar
) -> Problem:
    """The shop and one hand more."""
    hand = Resource(key=key, kind="hand", label=name, calendar=key, skills=dict(skills))
    return _with_resources(problem, [hand], {key: calendar})


def with_second(problem: Problem, like: str, key: str) -> Problem:
    """The shop and one station more, like one that it has."""
    same = next(each for each in problem.resources if each.key == like)
    second = replace(same, key=key, label=f"{same.label}, another")
    return _with_resources(problem, [second], {})


def with_overtime(
    problem: Problem, hands: Iterable[str], weekdays: Sequence[int], minutes: int, price: float
) -> Problem:
    """The shop in which these hands, and all stations, may be open longer on some weekdays.

    A minute of it counts as much as `price` minutes that an order of weight 1 is late, whatever
    the owner's own price is.
    """
    longer = set(hands)
    calendars = dict(problem.calendars)
    resources = []
    for each in problem.resources:
        if each.key in longer or (each.kind == "station" and each.calendar):
            key = f"{each.calendar} {each.overtime} longer"
            offered = [problem.calendars[each.overtime]] if each.overtime else []
            own = problem.calendars[each.calendar]
            shifts = (*own.weekly, *(shift for more in offered for shift in more.weekly))
            calendars[key] = _longer(replace(own, weekly=shifts), weekdays, minutes)
            resources.append(replace(each, overtime=key))
        else:
            resources.append(each)
    return replace(
        problem,
        calendars=calendars,
        resources=tuple(resources),
        prices=replace(problem.prices, overtime=price * problem.prices.minute_late),
        weights=problem.weights and replace(problem.weights, overtime=price),
    )


def with_away(problem: Problem, key: str, start: datetime, end: datetime) -> Problem:
    """The shop without one of its hands or stations for a time."""
    one = next(each for each in problem.resources if each.key == key)
    calendar = problem.calendars[one.calendar]
    closed = Closure(start=start, end=end, reason="supposed")
    own = f"{one.calendar} without {key}"
    calendars = {own: replace(calendar, closures=(*calendar.closures, closed))}
    offered = one.overtime and f"{one.overtime} without {key}"
    if one.overtime:
        more = problem.calendars[one.overtime]
        calendars[offered] = replace(more, closures=(*more.closures, closed))
    without = replace(one, calendar=own, overtime=offered)
    return replace(
        problem,
        calendars={**problem.calendars, **calendars},
        resources=tuple(without if each is one else each for each in problem.resources),
    )


def with_order(problem: Problem, supposed: SupposedOrder) -> Problem:
    """The shop and one order more."""
    return replace(
        problem,
        tasks=(*problem.tasks, *supposed.tasks),
        orders=(*problem.orders, supposed.order),
    )


def without_order(problem: Problem, key: str) -> Problem:
    """The shop and one order less, with the glue that cures for it."""
    gone = {task.key for task in problem.tasks if task.order == key}
    gone |= {
        task.key
        for task in problem.tasks
        if not task.order and task.after and gone.issuperset(task.after)
    }
    return replace(
        problem,
        tasks=tuple(
            replace(task, after=tuple(before for before in task.after if before not in gone))
            for task in problem.tasks
            if task.key not in gone
        ),
        orders=tuple(order for order in problem.orders if order.key != key),
    )


def week_min(calendar: Calendar) -> float:
    """Open minutes of a usual week."""
    day, found = date(2000, 1, 3), 0.0
    for shift in calendar.weekly:
        start = datetime.combine(day, shift.start)
        end = datetime.combine(day, shift.end)
        found += ((end - start) % timedelta(days=1) or timedelta(days=1)) / timedelta(minutes=1)
    return found


def _with_resources(
    problem: Problem, more: Sequence[Resource], calendars: Mapping[str, Calendar]
) -> Problem:
    return replace(
        problem,
        resources=(*problem.resources, *more),
        calendars={**problem.calendars, **calendars},
    )


def _longer(calendar: Calendar, weekdays: Sequence[int], minutes: int) -> Calendar:
    shifts = list(calendar.weekly)
    usual = min((shift.start for shift in shifts), default=time(8))
    for weekday in dict.fromkeys(weekdays):
        mine = [i for i, shift in enumerate(shifts) if shift.weekday == weekday]
        if mine:
            last = max(mine, key=lambda i: shifts[i].end)
            shifts[last] = replace(shifts[last], end=_later(shifts[last].end, minutes))
        else:
            shifts.append(Shift(weekday=weekday, start=usual, end=_later(usual, minutes)))
    return replace(calendar, weekly=tuple(shifts))


def _later(at: time, minutes: int) -> time:
    """So many minutes later, at most the end of the day."""
    later = datetime.combine(date(2000, 1, 3), at) + timedelta(minutes=minutes)
    return later.time() if later.date() == date(2000, 1, 3) else LATEST
