"""Planning scenarios: each with the same budget, from the same plan, one after another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone

from orders.core.errors import NotNow, WorkshopError
from orders.models import Commission
from orders.services.release import steps_of
from shop.core.narrowest import Place, narrowest
from shop.core.plan import schedule as core
from shop.core.plan.compiled import is_ready
from shop.core.plan.planner import plan as make_plan
from shop.core.plan.problem import Order, Problem
from shop.core.scenario import (
    Away,
    Change,
    Hire,
    LeaveOut,
    Overtime,
    SecondStation,
    SupposedOrder,
    TakeOrder,
    week_min,
    with_away,
    with_hand,
    with_order,
    with_overtime,
    with_second,
    without_order,
)
from shop.core.spans import Span, load_min
from shop.models import Job, Plan, Scenario, User, WorkingCalendar, Workshop

from .jobs import Claim, Stopped, ask, work
from .keys import hand_key, order_key, row_of, station_key
from .measures import measures_of
from .planning import whole_budget
from .problem import day_of, due_at, problem_for
from .promising import AHEAD, known_bookings, promises_of, tasks_of
from .scenarios import OUTCOME, OrderOutcome, Outcome, base_of, changes_of
from .weeks import week_of

KIND = "scenarios"
MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Supposed:
    """A scenario's shop, and the working minutes a week that it adds or offers."""

    problem: Problem
    more_min_a_week: float


def ask_for_scenarios(workshop: Workshop, *, by: User | None) -> Job:
    """Have all scenarios planned; while one such job is unfinished, that one is given."""
    return ask(KIND, workshop, by=by, once=KIND)


@work(KIND)
def plan_scenarios(claim: Claim) -> Mapping[str, Any]:
    """Plan the shop as it stands and every scenario, each with the same budget.

    A stop ends the search of the one at hand; what was planned until then is kept.
    """
    workshop = claim.job.workshop
    read_at = timezone.now()
    claim.report(0.0, "Reading what is to be done")
    shop, known = problem_for(workshop, read_at), known_bookings(workshop)
    plan = Plan.objects.of(workshop).in_force().first()
    rows = [base_of(workshop), *Scenario.objects.of(workshop).filter(is_base=False)]
    for i, row in enumerate(rows):
        outcome, fault = None, ""
        try:
            supposed = suppose(shop, row, workshop)
            outcome = _planned(claim, supposed, known, ZoneInfo(workshop.time_zone), (i, len(rows)))
        except WorkshopError as error:
            fault = str(error)
        claim.hold()
        Scenario.objects.filter(pk=row.pk).update(
            outcome=OUTCOME.dump_python(outcome, mode="json") if outcome else {},
            fault=fault,
            read_at=read_at,
            edition=row.version,
            compared_with=plan,
        )
        if claim.is_stop_wanted():
            raise Stopped({"planned": i + 1})
    return {"planned": len(rows)}


def suppose(shop: Problem, scenario: Scenario, workshop: Workshop) -> Supposed:
    """The shop of a scenario.

    Raises NotNow where something that it names is no longer there, NotReady for a commission in
    which nothing is to be done.
    """
    problem, more = shop, 0.0
    for number, change in enumerate(changes_of(scenario)):
        _require_there(change, problem)
        match change:
            case Hire():
                week = week_of(WorkingCalendar.objects.of(workshop).get(pk=change.calendar))
                key = f"hired{number}"
                problem = with_hand(problem, key, change.name, change.skills, week)
                more += week_min(week)
            case Overtime():
                hands = _hands(problem, change)
                problem = with_overtime(
                    problem, hands, change.weekdays, change.minutes, change.price
                )
                more += change.minutes * len(set(change.weekdays)) * len(hands)
            case SecondStation():
                problem = with_second(problem, station_key(change.station), f"second{number}")
            case TakeOrder():
                problem = with_order(problem, _order(workshop, change, shop.now))
            case LeaveOut():
                problem = without_order(problem, order_key(change.commission))
            case Away():
                key = station_key(change.station) if change.station else hand_key(change.hand or 0)
                problem = with_away(problem, key, change.starts_at, change.ends_at)
    return Supposed(problem=problem, more_min_a_week=more)


def _hands(problem: Problem, change: Overtime) -> list[str]:
    if change.hand is not None:
        return [hand_key(change.hand)]
    return [each.key for each in problem.resources if each.kind == "hand"]


def _require_there(change: Change, problem: Problem) -> None:
    keys = {each.key for each in problem.resources}
    wanted = []
    if isinstance(change, Overtime | Away) and change.hand is not None:
        wanted.append(hand_key(change.hand))
    if isinstance(change, SecondStation | Away) and change.station is not None:
        wanted.append(station_key(change.station))
    if not keys.issuperset(wanted):
        raise NotNow("A hand or a station of this scenario is no longer in use; take it out.")
    in_work = {order.key for order in problem.orders}
    if isinstance(change, LeaveOut) and order_key(change.commission) not in in_work:
        raise NotNow("The order that this scenario leaves out is done or gone; take it out.")


def _order(workshop: Workshop, change: TakeOrder, now: datetime) -> SupposedOrder:
    found = Commission.objects.of(workshop).filter(pk=change.commission, stage__in=AHEAD).first()
    if found is None:
        raise NotNow("The order of this scenario is in work or gone by now; take it out.")
    key = f"{SupposedOrder.PREFIX}{found.pk}"
    zone = ZoneInfo(workshop.time_zone)
    order = Order(
        key=key,
        label=str(found),
        due=due_at(found.due_on, zone) if found.due_on else None,
        weight=float(found.weight),
    )
    timber = day_of(found.timber_on, zone) if found.timber_on else now
    release = timber if timber > now else None
    tasks = tasks_of(workshop, steps_of(found), release, key)
    return SupposedOrder(order=order, tasks=tuple(tasks))


def _planned(
    claim: Claim,
    supposed: Supposed,
    known: Mapping[str, core.Booking],
    zone: ZoneInfo,
    turn: tuple[int, int],
) -> Outcome:
    place, count = turn
    schedule = make_plan(
        supposed.problem,
        known=known,
        budget=whole_budget(),
        progress=lambda word: claim.report(
            (place + word.share) / count,
            f"Planning scenario {place + 1} of {count}",
            heed_stop=False,
        ),
        stop=claim.is_called_off,
        is_compiled=is_ready(),
    )
    return outcome_of(supposed, schedule.bookings, zone)


def outcome_of(supposed: Supposed, bookings: Sequence[core.Booking], zone: ZoneInfo) -> Outcome:
    """What a plan of a scenario comes to."""
    problem = supposed.problem
    found = measures_of(problem, bookings)
    orders = tuple(_orders(problem, bookings, zone))
    narrow = narrowest(_places(problem, bookings, found.ends_at))
    chances = [order.chance for order in orders if order.chance is not None]
    return Outcome(
        **{each.name: getattr(found, each.name) for each in fields(found)},
        least_chance=min(chances, default=None),
        narrowest=narrow.name if narrow else "",
        narrowest_percent=narrow.percent if narrow else 0,
        more_min_a_week=supposed.more_min_a_week,
        orders=orders,
    )


def _orders(
    problem: Problem, bookings: Sequence[core.Booking], zone: ZoneInfo
) -> list[OrderOutcome]:
    in_order = {task.key: task.order for task in problem.tasks}
    ends: dict[str, datetime] = {}
    for booking in bookings:
        key = in_order[booking.task]
        ends[key] = max(booking.end, ends.get(key, booking.end))
    promised = promises_of(problem, bookings)
    found = []
    for order in problem.orders:
        if order.key not in ends:
            continue
        late = (ends[order.key] - order.due) / MINUTE if order.due is not None else 0.0
        chance = promised[order.key].chance if order.key in promised else None
        last = order.due - timedelta(microseconds=1) if order.due is not None else None
        found.append(
            OrderOutcome(
                commission=_commission(order.key),
                label=order.label,
                due_on=last.astimezone(zone).date() if last is not None else None,
                ends_at=ends[order.key],
                late_min=max(0.0, late),
                chance=None if chance is None else round(100 * chance),
            )
        )
    return found


def _commission(key: str) -> int:
    """The commission that an order of the planner stands for."""
    return row_of(key) or int(key.removeprefix(SupposedOrder.PREFIX))


def _places(
    problem: Problem, bookings: Sequence[core.Booking], until: datetime | None
) -> Iterator[Place]:
    """What is planned on each hand and station until all is done."""
    work: dict[str, list[Span]] = {}
    for booking in bookings:
        for key in (booking.station, *booking.hands):
            if key is not None:
                work.setdefault(key, []).extend(booking.pieces)
    for each in problem.resources:
        if each.calendar and until is not None:
            calendar = problem.calendars[each.calendar]
            yield Place(
                name=each.label,
                kind=each.station_kinds[0] if each.station_kinds else "",
                load_min=load_min(work.get(each.key, ()), of_hand=each.kind == "hand"),
                open_min=each.capacity * calendar.minutes_between(problem.now, until),
            )
