"""Whether the plan is disturbed by what happened since it was read, so that it is mended at once.

What a person changes on purpose always disturbs it: an order released, hurried or waiting for its
timber, a closing, a station, a hand. A clocking does where it pushes what is planned behind it, or
leaves time that was planned; all other clockings wait for the next planning.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Max, Q

from orders.core.stages import Stage
from orders.models import Commission, Operation
from shop.core.plan.floor import MOVED
from shop.models import (
    Booking,
    Clocking,
    Closure,
    Hand,
    Pin,
    Plan,
    Station,
    WorkingCalendar,
    Workshop,
)

from .clocking import share_of

ON_PURPOSE = (Closure, Station, Hand, WorkingCalendar, Commission, Pin)
AT_WORK = (Operation, Clocking)
AHEAD = (Stage.ENQUIRY, Stage.QUOTED, Stage.ACCEPTED)
"""Stages before anything of a commission is planned."""


def changes(
    workshop: Workshop, models: Collection[Any] = ON_PURPOSE + AT_WORK
) -> Iterator[datetime]:
    """When each kind of thing that a plan depends on was last changed."""
    for model in models:
        rows = model.objects.of(workshop)
        if model is Commission:
            rows = rows.exclude(stage__in=AHEAD)
        at = rows.aggregate(last=Max("changed_at"))["last"]
        if at is not None:
            yield at
    yield Workshop.objects.values_list("changed_at", flat=True).get(pk=workshop.pk)


def is_disturbed(workshop: Workshop, now: datetime) -> bool:
    """Whether the newest plan, in force or proposed, does not hold any more as it stands."""
    plans = Plan.objects.of(workshop).filter(state__in=[Plan.State.ADOPTED, Plan.State.PROPOSED])
    plan = plans.order_by("-read_at").first()
    if plan is None:
        return False
    return (
        any(at > plan.read_at for at in changes(workshop, ON_PURPOSE))
        or _has_unplanned(workshop, plan)
        or _is_off(plan, list(_clocked_since(workshop, plan)), now)
    )


def _has_unplanned(workshop: Workshop, plan: Plan) -> bool:
    """Whether there is work that the plan does not know: a part to be made again, for one."""
    to_do = Operation.objects.of(workshop).open().filter(commission__stage=Stage.IN_WORK)
    return bool(to_do.exclude(pk__in=plan.bookings.values("operation")).exists())


def _clocked_since(workshop: Workshop, plan: Plan) -> Iterable[Clocking]:
    rows = Clocking.objects.of(workshop).select_related("operation", "station")
    since: Iterable[Clocking] = rows.filter(
        Q(ended_at__isnull=True) | Q(changed_at__gt=plan.read_at)
    )
    return since


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A clocking beside its place in the plan, and until when it keeps its hand and station."""

    clocking: Clocking
    until: datetime

    @classmethod
    def of(cls, clocking: Clocking, booking: Booking | None, now: datetime) -> _Stretch:
        """Work that is begun late is taken to end as much later."""
        if clocking.ended_at is not None:
            return cls(clocking, clocking.ended_at)
        if booking is None:
            return cls(clocking, now)
        late = max(timedelta(), clocking.started_at - booking.starts_at)
        is_known = booking.plan.read_at >= clocking.started_at
        return cls(clocking, max(now, booking.ends_at + (timedelta() if is_known else late)))

    def holds_up(self, booking: Booking, after: Collection[tuple[int, int]]) -> bool:
        """Whether a booking that nobody is at should have begun well before this ends."""
        own = self.clocking
        if booking.operation_id == own.operation_id or self.until - booking.starts_at <= MOVED:
            return False
        hands = {booking.hand_id, *(hand.pk for hand in booking.helpers.all())}
        is_alone = own.station is not None and own.station.places == 1
        is_busy = own.hand_id in hands and not own.share.goes_with(
            share_of(booking.operation, booking.station)
        )
        return (
            is_busy
            or (is_alone and booking.station_id == own.station_id)
            or (booking.operation_id, own.operation_id) in after
        )


def _is_off(plan: Plan, clocked: Sequence[Clocking], now: datetime) -> bool:
    """Whether a clocking holds up what is planned, or was over well before it was planned to be."""
    if not clocked:
        return False
    own = {
        booking.operation_id: booking
        for booking in plan.bookings.filter(operation__in=[c.operation_id for c in clocked])
    }
    if any(_is_early(clocking, own.get(clocking.operation_id)) for clocking in clocked):
        return True
    for booking in own.values():
        booking.plan = plan
    stretches = [_Stretch.of(c, own.get(c.operation_id), now) for c in clocked]
    return any(
        stretch.holds_up(booking, after)
        for booking, after in _waiting(plan, max(stretch.until for stretch in stretches))
        for stretch in stretches
    )


def _is_early(clocking: Clocking, booking: Booking | None) -> bool:
    """Whether the last piece was done with more than a little of the planned time left."""
    operation = clocking.operation
    if booking is None or operation.state != Operation.State.DONE or operation.done_at is None:
        return False
    left = timedelta()
    for start, end in booking.stretches:
        begun = max(datetime.fromisoformat(start), operation.done_at)
        left += max(timedelta(), datetime.fromisoformat(end) - begun)
    return left > MOVED


def _waiting(plan: Plan, until: datetime) -> Iterator[tuple[Booking, set[tuple[int, int]]]]:
    """Bookings well before an instant that nobody is at, with what each comes after."""
    running = Clocking.objects.running().values("operation")
    rows = plan.bookings.filter(
        starts_at__lt=until - MOVED, operation__in=Operation.objects.open()
    ).exclude(operation__in=running)
    bookings = list(
        rows.select_related("station", "operation__commission__workshop").prefetch_related(
            "helpers"
        )
    )
    links: Any = Operation.after.through
    pairs = set(
        links.objects.filter(
            from_operation__in=[booking.operation_id for booking in bookings]
        ).values_list("from_operation_id", "to_operation_id")
    )
    for booking in bookings:
        yield booking, pairs
