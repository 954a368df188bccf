"""The wall chart of a plan, and what is late in it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from orders.models import Commission
from orders.models.owned import OwnedQuerySet
from shop.core.calendar import Calendar
from shop.core.spans import Span, together
from shop.models import Booking, Closure, Hand, Pin, Plan, Station, Workshop

from .meanwhile import meanwhile_of
from .problem import due_at
from .weeks import Weeks

By = Literal["station", "hand", "order"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartBar:
    """A booking as a bar; `stretches` are its pieces of work, `late_min` how late its order is.

    `meanwhile` says which machine runs beside it, minded by the same hand.
    `away` is from when its pieces are sent until they are back.
    """

    booking_id: int
    operation_id: int
    mark: str
    name: str
    commission_id: int
    commission_mark: str
    title: str
    assembly: str
    station: str
    hand: str
    helpers: tuple[str, ...]
    start: datetime
    end: datetime
    stretches: tuple[Span, ...]
    state: str
    late_min: float
    kind: str
    skill: str
    pin: Pin | None
    overtime: tuple[Span, ...] = ()
    meanwhile: str = ""
    away: Span | None = None

    @property
    def is_late(self) -> bool:
        """Whether the order it belongs to is late."""
        return self.late_min > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartClosure:
    """A stretch in which a row stands still, and why."""

    start: datetime
    end: datetime
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartRow:
    """A station or a hand: its bars, its closures, and minutes of work against minutes open.

    Or an order, with the instant until which it is in time and the one at which it ends.
    """

    pk: int
    name: str
    note: str
    places: int
    is_in_use: bool
    bars: tuple[ChartBar, ...]
    closures: tuple[ChartClosure, ...]
    openings: tuple[Span, ...]
    load_min: float
    open_min: float
    skills: tuple[str, ...] = ()
    due: datetime | None = None
    ends_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WallChart:
    """So many days of a plan, by station, hand or order; `unplaced` needs no station or no hand."""

    by: By
    days: tuple[date, ...]
    start: datetime
    end: datetime
    rows: tuple[ChartRow, ...]
    unplaced: tuple[ChartBar, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LateOrder:
    """An order that is finished after the day it is due."""

    commission_id: int
    mark: str
    title: str
    due_on: date
    ends_at: datetime
    late_min: float


def chart(plan: Plan, start_day: date, days: int = 5, by: By = "station") -> WallChart:
    """What the plan has on its stations or hands, or of its orders, in days from `start_day` on."""
    workshop = plan.workshop
    zone = ZoneInfo(workshop.time_zone)
    start = midnight(start_day, zone)
    end = midnight(start_day + timedelta(days=days), zone)
    late = {order.commission_id: order.late_min for order in late_work(plan)}
    bookings = list(bookings_of(plan).filter(ends_at__gt=start, starts_at__lt=end))
    meanwhile = meanwhile_of((booking, stretches_of(booking)) for booking in bookings)
    bars = {
        booking.pk: bar_of(booking, late, meanwhile.get(booking.pk, "")) for booking in bookings
    }
    if by == "order":
        return WallChart(
            by=by,
            days=tuple(start_day + timedelta(days=i) for i in range(days)),
            start=start,
            end=end,
            rows=tuple(_order_rows(plan, bars.values(), (start, end))),
            unplaced=(),
        )
    rows = _rows(workshop, by, bookings)
    weeks = Weeks.of(workshop, start)
    closures = list(Closure.objects.of(workshop).filter(ends_at__gt=start, starts_at__lt=end))
    on_row = _by_row(bookings, by)
    return WallChart(
        by=by,
        days=tuple(start_day + timedelta(days=i) for i in range(days)),
        start=start,
        end=end,
        rows=tuple(
            _row(
                row,
                [bars[pk] for pk in on_row.get(row.pk, ())],
                [closure for closure in closures if _closes(closure, row)],
                weeks.calendar_of(row),
                (start, end),
            )
            for row in rows
        ),
        unplaced=tuple(bars[pk] for pk in on_row.get(None, ())),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderEnd:
    """When a plan finishes an order, the last operation of it, and until when that is in time."""

    ends_at: datetime
    operation_id: int
    due: datetime | None


def ends_of(plan: Plan) -> dict[int, OrderEnd]:
    """The end of every order in a plan, by commission."""
    zone = ZoneInfo(plan.workshop.time_zone)
    rows = plan.bookings.order_by("ends_at", "pk").values_list(
        "operation__commission", "operation__commission__due_on", "ends_at", "operation"
    )
    return {
        commission: OrderEnd(
            ends_at=ends_at,
            operation_id=operation,
            due=due_at(due_on, zone) if due_on else None,
        )
        for commission, due_on, ends_at, operation in rows
    }


def late_work(plan: Plan) -> tuple[LateOrder, ...]:
    """The orders that the plan finishes after they are due, the latest first."""
    zone = ZoneInfo(plan.workshop.time_zone)
    ends: dict[int, datetime] = {}
    for commission_id, ends_at in plan.bookings.values_list("operation__commission", "ends_at"):
        ends[commission_id] = max(ends_at, ends.get(commission_id, ends_at))
    found = []
    for commission in Commission.objects.filter(pk__in=ends, due_on__isnull=False):
        late = ends[commission.pk] - due_at(commission.due_on, zone)
        if late > timedelta():
            found.append(
                LateOrder(
                    commission_id=commission.pk,
                    mark=commission.mark,
                    title=commission.title,
                    due_on=commission.due_on,
                    ends_at=ends[commission.pk],
                    late_min=late / timedelta(minutes=1),
                )
            )
    return tuple(sorted(found, key=lambda order: (-order.late_min, order.mark)))


def bookings_of(plan: Plan) -> OwnedQuerySet:
    """The bookings of a plan with everything that is shown of them."""
    return (
        Booking.objects.filter(plan=plan)
        .select_related(
            "operation__commission",
            "operation__assembly",
            "operation__joint",
            "operation__pin",
            "station",
            "hand",
        )
        .prefetch_related("helpers")
        .order_by("starts_at", "pk")
    )


def bar_of(booking: Booking, late: Mapping[int, float], meanwhile: str = "") -> ChartBar:
    """A booking as it is shown."""
    operation = booking.operation
    return ChartBar(
        booking_id=booking.pk,
        operation_id=operation.pk,
        mark=operation.mark,
        name=operation.name,
        commission_id=operation.commission_id,
        commission_mark=operation.commission.mark,
        title=operation.commission.title,
        assembly=operation.assembly.name,
        station=str(booking.station or ""),
        hand=str(booking.hand or ""),
        helpers=tuple(str(helper) for helper in booking.helpers.all()),
        start=booking.starts_at,
        end=booking.ends_at,
        stretches=stretches_of(booking),
        state=operation.state,
        late_min=late.get(operation.commission_id, 0.0),
        kind=operation.station_kind,
        skill=operation.skill,
        pin=getattr(operation, "pin", None),
        overtime=spans_of(booking.overtime),
        meanwhile=meanwhile,
        away=away_of(booking),
    )


def away_of(booking: Booking) -> Span | None:
    """From when the pieces of a booking are sent away until they are back; None if they stay."""
    if booking.leaves_at is None or booking.returns_at is None:
        return None
    return booking.leaves_at, booking.returns_at


def stretches_of(booking: Booking) -> tuple[Span, ...]:
    """The pieces of work of a booking between its pauses."""
    return spans_of(booking.stretches)


def spans_of(pairs: Iterable[Iterable[str]]) -> tuple[Span, ...]:
    """Stretches as a booking keeps them."""
    return tuple(
        (datetime.fromisoformat(start), datetime.fromisoformat(end)) for start, end in pairs
    )


def minutes_within(stretches: Iterable[Span], start: datetime, end: datetime) -> float:
    """Minutes of the stretches that lie between two instants."""
    overlaps = (min(b, end) - max(a, start) for a, b in stretches)
    return sum(overlap / timedelta(minutes=1) for overlap in overlaps if overlap > timedelta())


def midnight(day: date, zone: ZoneInfo) -> datetime:
    """The first instant of a day, by the clock of the workshop."""
    return datetime.combine(day, time(), zone).astimezone(UTC)


def _order_rows(plan: Plan, bars: Iterable[ChartBar], window: Span) -> Iterable[ChartRow]:
    """The orders that are worked on or due in the window, the first due on top."""
    open_hours = _open_anywhere(plan.workshop, window)
    ends = ends_of(plan)
    mine: dict[int, list[ChartBar]] = defaultdict(list)
    for bar in bars:
        mine[bar.commission_id].append(bar)
    shown = [
        pk
        for pk, end in ends.items()
        if pk in mine or (end.due is not None and window[0] < end.due <= window[1])
    ]
    far = window[1] + timedelta(days=9999)
    commissions = Commission.objects.in_bulk(shown)
    for pk in sorted(shown, key=lambda pk: (ends[pk].due or far, commissions[pk].mark)):
        due_on = commissions[pk].due_on
        yield ChartRow(
            pk=pk,
            name=f"{commissions[pk].mark} {commissions[pk].title}",
            note=f"due {due_on:%a} {due_on.day} {due_on:%b}" if due_on else "no day given",
            places=1,
            is_in_use=True,
            bars=tuple(mine[pk]),
            closures=(),
            openings=open_hours,
            load_min=sum(minutes_within(bar.stretches, *window) for bar in mine[pk]),
            open_min=0.0,
            due=ends[pk].due,
            ends_at=ends[pk].ends_at,
        )


def _open_anywhere(workshop: Workshop, window: Span) -> tuple[Span, ...]:
    """When any station is open."""
    weeks = Weeks.of(workshop, window[0])
    stations = Station.objects.of(workshop).filter(is_in_use=True)
    open_hours = Calendar(
        timezone=workshop.time_zone,
        extra=tuple(
            opening
            for key in {weeks.key_of(station) for station in stations}
            for opening in weeks.calendars[key].openings(*window)
        ),
    )
    return tuple((opening.start, opening.end) for opening in open_hours.openings(*window))


def _rows(workshop: Workshop, by: By, bookings: Sequence[Booking]) -> list[Station] | list[Hand]:
    """What is in use, and what the plan still has something on."""
    if by == "station":
        stations = {booking.station_id for booking in bookings}
        return [s for s in Station.objects.of(workshop) if s.is_in_use or s.pk in stations]
    hands = {booking.hand_id for booking in bookings}
    hands |= {helper.pk for booking in bookings for helper in booking.helpers.all()}
    known = Hand.objects.of(workshop).prefetch_related("skills")
    return [hand for hand in known if hand.is_in_use or hand.pk in hands]


def _by_row(bookings: Sequence[Booking], by: By) -> Mapping[int | None, Sequence[int]]:
    found: dict[int | None, list[int]] = defaultdict(list)
    for booking in bookings:
        if by == "station":
            found[booking.station_id].append(booking.pk)
            continue
        for hand in {booking.hand_id, *(helper.pk for helper in booking.helpers.all())}:
            found[hand].append(booking.pk)
    return found


def _closes(closure: Closure, row: Station | Hand) -> bool:
    if closure.station_id is None and closure.hand_id is None:
        return True
    if isinstance(row, Station):
        return closure.station_id == row.pk
    return closure.hand_id == row.pk


def _row(
    row: Station | Hand,
    bars: Sequence[ChartBar],
    closures: Sequence[Closure],
    calendar: Calendar,
    window: Span,
) -> ChartRow:
    openings = calendar.openings(*window)
    places = row.places if isinstance(row, Station) else 1
    work = [span for bar in bars for span in bar.stretches]
    return ChartRow(
        pk=row.pk,
        name=row.name,
        note=row.kind if isinstance(row, Station) else ", ".join(s.skill for s in row.skills.all()),
        places=places,
        is_in_use=row.is_in_use,
        bars=tuple(bars),
        closures=tuple(
            ChartClosure(
                start=max(closure.starts_at, window[0]),
                end=min(closure.ends_at, window[1]),
                reason=closure.reason,
            )
            for closure in closures
        ),
        openings=tuple((opening.start, opening.end) for opening in openings),
        load_min=minutes_within(work if isinstance(row, Station) else together(work), *window),
        skills=() if isinstance(row, Station) else tuple(s.skill for s in row.skills.all()),
        open_min=places * sum(opening.minutes for opening in openings),
    )
