"""Pins: an operation moved or locked by the foreman, with the consequence known before it is kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils import timezone

from orders.core.errors import NotNow, RuleBroken, RulesBroken
from orders.models import Operation
from shop.core.plan import schedule as core
from shop.core.plan.planner import plan as make_plan
from shop.core.plan.problem import Problem
from shop.core.plan.schedule import Budget
from shop.models import Hand, Pin, Plan, Station, User, Workshop

from .changes import changes_in
from .keys import hand_key, row_of, station_key, task_key
from .measures import Measures, measures_of
from .problem import problem_for
from .promising import bookings_known, known_bookings
from .told import staying, with_told

MOST_PLACES = 60
LOOK = Budget(evaluations=4, seconds=5)
MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """Where the foreman wants an operation; None leaves that to the plan."""

    station: Station | None = None
    hand: Hand | None = None
    starts_at: datetime | None = None

    @property
    def is_empty(self) -> bool:
        """Whether nothing is wished."""
        return self.station is None and self.hand is None and self.starts_at is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lateness:
    """An order that would end later or sooner against its day, in minutes late before and after."""

    title: str
    before_min: float
    after_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPlace:
    """Where an operation would go: from when to when, at which station, with which first hand."""

    operation: int
    starts_at: datetime
    ends_at: datetime
    station: int | None
    hand: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Consequence:
    """What a pin would do: the operation's new place, orders that end otherwise, what else moves.

    `before` and `after` are the owner's measures without and with it.

    `moves` are sentences, the soonest first; `more_moves` is how many there are beside. `places`
    are those of what moves besides, for a drawing.
    """

    starts_at: datetime
    ends_at: datetime
    station: str
    hands: str
    before: Measures
    after: Measures
    orders: tuple[Lateness, ...]
    moves: tuple[tuple[str, str], ...]
    more_moves: int
    places: tuple[NewPlace, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """A wish looked at: the shop before it and with it, and the plan of each.

    `known` are the bookings of the plan in force.
    """

    before: Problem
    after: Problem
    known: Mapping[str, core.Booking]
    was: Mapping[str, core.Booking]
    would: core.Schedule
    zone: ZoneInfo


def look(operation: Operation, wish: Wish, *, now: datetime) -> Look:
    """Plan the shop with a wish, and leave everything else where it is as far as that can be.

    Where it is says the proposal, if there is one, else the plan in force.

    Raises as `consequence` does.
    """
    workshop = operation.commission.workshop
    zone = ZoneInfo(workshop.time_zone)
    known = known_bookings(workshop)
    proposal = Plan.objects.of(workshop).filter(state=Plan.State.PROPOSED).first()
    newest = bookings_known(proposal) or known
    before = with_told(problem_for(workshop, now), known, zone)
    wished = _wished(before, operation, wish, zone)
    # From that plan and not from the newest one, so that only what the wish moves is told.
    settled = _planned(staying(before, newest), newest)
    was = {booking.task: booking for booking in settled.bookings}
    after = staying(wished, was, but=task_key(operation.pk))
    return Look(
        before=before,
        after=after,
        known=known,
        was=was,
        would=_planned(after, was),
        zone=zone,
    )


def consequence(operation: Operation, wish: Wish, *, now: datetime, most: int = 8) -> Consequence:
    """What would come of a wish; nothing is kept.

    Raises NotNow for an operation that is done or at work, RuleBroken for a wish of nothing, and
    RuleBroken or RulesBroken, with what would have to give, where no plan holds it.
    """
    found = look(operation, wish, now=now)
    before, after, was = found.before, found.after, found.was
    would = {booking.task: booking for booking in found.would.bookings}
    names = {each.key: each.label for each in before.resources}
    place = would[task_key(operation.pk)]
    moved = [
        each
        for each in changes_in(after, was, would, found.zone)
        if each["operation"] != operation.pk
    ]
    marks = Operation.objects.select_related("commission").in_bulk(
        [each["operation"] for each in moved[:most]]
    )
    return Consequence(
        starts_at=place.start,
        ends_at=place.end,
        station=names.get(place.station or "", ""),
        hands=" and ".join(names[hand] for hand in place.hands),
        before=measures_of(before, was.values()),
        after=measures_of(after, would.values()),
        orders=tuple(_lateness(before, was, would)),
        moves=tuple(
            (f"{marks[each['operation']].mark} {marks[each['operation']].name}", each["why"])
            for each in moved[:most]
        ),
        more_moves=max(0, len(moved) - most),
        places=tuple(_place(would[task_key(each["operation"])]) for each in moved[:MOST_PLACES]),
    )


@transaction.atomic
def keep_pin(operation: Operation, wish: Wish, *, by: User | None, now: datetime) -> Look:
    """Pin an operation; the next plan works round it. The plan that was looked at is given.

    Raises as `consequence` does.
    """
    found = look(operation, wish, now=now)
    pin, _ = Pin.objects.update_or_create(
        operation=operation,
        defaults={
            "station": wish.station,
            "hand": wish.hand,
            "starts_at": wish.starts_at,
            "made_by": by,
        },
    )
    # As old as what was read for it, so that its plan knows it.
    Pin.objects.filter(pk=pin.pk).update(changed_at=now)
    return found


@transaction.atomic
def take_out(operation: Operation) -> None:
    """Give an operation back to the plan; without a pin nothing happens."""
    gone, _ = Pin.objects.filter(operation=operation).delete()
    if gone:
        # What is gone has no time of its own; the workshop's says that the plan is out of date.
        Workshop.objects.filter(pk=operation.commission.workshop_id).update(
            changed_at=timezone.now()
        )


def _place(booking: core.Booking) -> NewPlace:
    return NewPlace(
        operation=row_of(booking.task) or 0,
        starts_at=booking.start,
        ends_at=booking.end,
        station=row_of(booking.station),
        hand=row_of(booking.hand),
    )


def _wished(problem: Problem, operation: Operation, wish: Wish, zone: ZoneInfo) -> Problem:
    key = task_key(operation.pk)
    task = next((task for task in problem.tasks if task.key == key), None)
    if task is None or task.under_way:
        raise NotNow(f"“{operation.name}” is at work or done; only what is still ahead is moved.")
    if wish.is_empty:
        raise RuleBroken("starts_at", "Choose a station, a hand or a time, or take the pin out.")
    if wish.starts_at is not None and wish.starts_at < problem.now:
        raise RuleBroken("starts_at", "Choose a time that is still to come.")
    pinned = replace(
        task,
        told=None,
        pinned_station=station_key(wish.station.pk) if wish.station is not None else None,
        pinned_hand=hand_key(wish.hand.pk) if wish.hand is not None else None,
        pinned_start=wish.starts_at.astimezone(zone) if wish.starts_at is not None else None,
    )
    return replace(problem, tasks=tuple(pinned if t.key == key else t for t in problem.tasks))


def _planned(problem: Problem, known: Mapping[str, core.Booking]) -> core.Schedule:
    try:
        return make_plan(problem, known=known, budget=LOOK)
    except RulesBroken as faults:
        raise _at_its_field(faults.errors[0]) from None
    except RuleBroken as fault:
        raise _at_its_field(fault) from None


def _at_its_field(fault: RuleBroken) -> RuleBroken:
    """The planner's sentence beside the field of the wish that it is about."""
    field = fault.field.rpartition("/")[2]
    fields = {
        "pinned_station": "station",
        "stations": "station",
        "pinned_hand": "hand",
        "hands": "hand",
        "pinned_start": "starts_at",
    }
    return RuleBroken(fields.get(field, "starts_at"), fault.message)


def _lateness(
    problem: Problem, was: Mapping[str, core.Booking], would: Mapping[str, core.Booking]
) -> list[Lateness]:
    """The orders that are late in either plan, and not equally; the worst change first."""
    found = []
    for order in problem.orders:
        keys = [task.key for task in problem.tasks if task.order == order.key]
        if order.due is None or not keys:
            continue
        late = [
            max(0.0, (max(plan[key].end for key in keys) - order.due) / MINUTE)
            for plan in (was, would)
        ]
        if abs(late[1] - late[0]) >= 1:
            found.append(Lateness(title=order.label, before_min=late[0], after_min=late[1]))
    return sorted(found, key=lambda each: each.before_min - each.after_min)
