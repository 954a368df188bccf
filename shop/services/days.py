"""The day sheet: what one hand does in one day, in order, with what to fetch."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import pairwise
from zoneinfo import ZoneInfo

from django.db.models import Q

from orders.models import Operation, Part
from shop.core.spans import Span, load_min
from shop.models import Booking, Closure, DayIssue, Hand, Plan

from .chart import ChartBar, bar_of, bookings_of, late_work, midnight, stretches_of
from .day_issues import changes_since, content_of, within
from .meanwhile import meanwhile_of
from .weeks import Weeks


@dataclass(frozen=True, slots=True, kw_only=True)
class Fetch:
    """Pieces to bring to the bench."""

    mark: str
    name: str
    species: str
    pieces: int
    length_mm: Decimal
    width_mm: Decimal
    thickness_mm: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class DayItem:
    """One operation of the day.

    `stretches` lie in this day only; `goes_on` and `comes_on` say that it goes on tomorrow or began
    earlier; `overtime` are those beyond regular hours. `setup_min` and `each_min` are standard
    minutes.
    """

    bar: ChartBar
    stretches: tuple[Span, ...]
    overtime: tuple[Span, ...]
    comes_on: bool
    goes_on: bool
    pieces: int
    pieces_done: int
    setup_min: float
    each_min: float
    method: str
    hold_to: str
    caution: str
    cure_min: float
    fetch: tuple[Fetch, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DaySheet:
    """A hand's day: hours, breaks between them, the work in order; `closed` is why there is none.

    `issue` is the number it was last issued under, `changed` what is different since.
    """

    hand_id: int
    hand: str
    on: date
    plan_number: int | None
    hours: tuple[Span, ...]
    breaks: tuple[Span, ...]
    closed: tuple[str, ...]
    items: tuple[DayItem, ...]
    issue: int | None = None
    changed: tuple[str, ...] = ()

    @property
    def work_min(self) -> float:
        """Planned minutes of the day; those with two things at once count once."""
        return load_min((s for item in self.items for s in item.stretches), of_hand=True)

    @property
    def open_min(self) -> float:
        """Minutes that the hand is at work."""
        return load_min(self.hours, of_hand=True)


def next_day_of_work(plan: Plan, now: datetime) -> date:
    """The day of the workshop on which the plan next has work; today where it has none ahead."""
    soonest: datetime | None = None
    for booking in Booking.objects.filter(plan=plan, ends_at__gt=now).order_by("starts_at"):
        if soonest is not None and booking.starts_at >= soonest:
            break
        ahead = [max(start, now) for start, end in stretches_of(booking) if end > now]
        soonest = min(filter(None, (soonest, *ahead)), default=None)
    return (soonest or now).astimezone(ZoneInfo(plan.workshop.time_zone)).date()


def day_sheet(hand: Hand, on: date) -> DaySheet:
    """The hand's day by the plan in force; without one, only its hours."""
    workshop = hand.workshop
    zone = ZoneInfo(workshop.time_zone)
    day = midnight(on, zone), midnight(on + timedelta(days=1), zone)
    plan = Plan.objects.in_force().of(workshop).first()
    bookings: list[Booking] = [] if plan is None else _of_hand(plan, hand, day)
    late = {} if plan is None else {o.commission_id: o.late_min for o in late_work(plan)}
    calendar = Weeks.of(workshop, day[0]).calendar_of(hand)
    hours = [(opening.start, opening.end) for opening in calendar.openings(*day)]
    parts = _parts(booking.operation for booking in bookings)
    meanwhile = meanwhile_of((booking, _in_day(booking, day)) for booking in bookings)
    bookings.sort(key=lambda booking: (booking.starts_at, booking.pk in meanwhile))
    items = tuple(
        _item(booking, bar_of(booking, late, meanwhile.get(booking.pk, "")), parts, day)
        for booking in bookings
    )
    issue = DayIssue.objects.filter(hand=hand, on=on).order_by("-number").first()
    stands = content_of((item.bar, item.stretches) for item in items)
    return DaySheet(
        hand_id=hand.pk,
        hand=hand.name,
        on=on,
        plan_number=plan.number if plan else None,
        hours=tuple(hours),
        breaks=tuple((a[1], b[0]) for a, b in pairwise(hours)),
        closed=tuple(_closures(hand, day)),
        items=items,
        issue=issue.number if issue else None,
        changed=tuple(changes_since(issue, stands, zone)) if issue else (),
    )


def _of_hand(plan: Plan, hand: Hand, day: Span) -> list[Booking]:
    mine = Q(hand=hand) | Q(helpers=hand)
    found = bookings_of(plan).filter(mine, ends_at__gt=day[0], starts_at__lt=day[1]).distinct()
    return [booking for booking in found if _in_day(booking, day)]


def _in_day(booking: Booking, day: Span) -> tuple[Span, ...]:
    return within(stretches_of(booking), *day)


def _closures(hand: Hand, day: Span) -> Iterable[str]:
    found = Closure.objects.of(hand.workshop).filter(
        Q(hand=hand) | Q(hand__isnull=True, station__isnull=True),
        ends_at__gt=day[0],
        starts_at__lt=day[1],
    )
    return found.values_list("reason", flat=True)


def _parts(operations: Iterable[Operation]) -> dict[int, list[Part]]:
    """The parts of the assemblies that the operations belong to."""
    found: dict[int, list[Part]] = {}
    assemblies = {operation.assembly_id for operation in operations}
    for part in Part.objects.filter(assembly__in=assemblies).select_related("assembly"):
        found.setdefault(part.assembly_id, []).append(part)
    return found


def _item(booking: Booking, bar: ChartBar, parts: dict[int, list[Part]], day: Span) -> DayItem:
    operation = booking.operation
    return DayItem(
        bar=bar,
        stretches=_in_day(booking, day),
        overtime=within(bar.overtime, *day),
        comes_on=booking.starts_at < day[0],
        goes_on=booking.ends_at > day[1],
        pieces=operation.pieces,
        pieces_done=operation.pieces_done,
        setup_min=operation.setup_min,
        each_min=operation.each_min,
        method=operation.method,
        hold_to=operation.hold_to,
        caution=operation.caution,
        cure_min=operation.cure_min,
        fetch=tuple(_fetch(operation, parts.get(operation.assembly_id, ()))),
    )


def _fetch(operation: Operation, parts: Sequence[Part]) -> Iterable[Fetch]:
    """The two parts of the joint, or all of the assembly's where it is no joint's work."""
    joint = operation.joint
    wanted = None if joint is None else {joint.part_a_id, joint.part_b_id}
    for part in parts:
        if wanted is None or part.pk in wanted:
            yield Fetch(
                mark=part.mark,
                name=part.name,
                species=part.species,
                pieces=part.quantity * part.assembly.quantity,
                length_mm=part.length_mm,
                width_mm=part.width_mm,
                thickness_mm=part.thickness_mm,
            )
