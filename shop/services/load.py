"""How full the shop is: each station's and hand's planned hours by week, and the narrowest place."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from shop.core.narrowest import Narrowest, Place, narrowest
from shop.core.spans import Span, together
from shop.models import Booking, Hand, Plan, Station

from .chart import midnight, minutes_within, stretches_of
from .weeks import Weeks

WEEKS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One week: minutes planned, and minutes open in what is still ahead of it."""

    load_min: float
    open_min: float

    @property
    def percent(self) -> int | None:
        """The part of the open time that is taken; None where it is closed."""
        return round(100 * self.load_min / self.open_min) if self.open_min else None

    @property
    def reached(self) -> int:
        """How far a line of a thousand is filled; what is over does not go beyond."""
        return min(1000, round(1000 * self.load_min / self.open_min)) if self.open_min else 0


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadRow:
    """A station or a hand, week by week, and all weeks together."""

    name: str
    note: str
    cells: tuple[Cell, ...]
    whole: Cell


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """The Mondays of the weeks; stations and hands as they stand in the shop.

    `narrowest` is the fullest of all over the weeks until `busy_until`, the last Sunday before
    which anything is planned; both are None where hardly anything is.
    """

    mondays: tuple[date, ...]
    stations: tuple[LoadRow, ...]
    hands: tuple[LoadRow, ...]
    narrowest: Narrowest | None
    busy_until: date | None

    def is_narrow(self, row: LoadRow) -> bool:
        """Whether a row is the narrowest place, or one of its stations."""
        found = self.narrowest
        return found is not None and (found.kind or found.name) == (row.note or row.name)


def load_of(plan: Plan, now: datetime, weeks: int = WEEKS) -> Load:
    """What the plan has on every station and hand from now on, in whole weeks from this Monday."""
    workshop = plan.workshop
    zone = ZoneInfo(workshop.time_zone)
    today = now.astimezone(zone).date()
    monday = today - timedelta(days=today.weekday())
    mondays = tuple(monday + timedelta(days=7 * i) for i in range(weeks))
    spans = [
        (max(now, midnight(day, zone)), midnight(day + timedelta(days=7), zone)) for day in mondays
    ]
    on_station: dict[int, list[Span]] = defaultdict(list)
    on_hand: dict[int, list[Span]] = defaultdict(list)
    ahead = Booking.objects.filter(plan=plan, ends_at__gt=now).prefetch_related("helpers")
    for booking in ahead:
        stretches = stretches_of(booking)
        if booking.station_id is not None:
            on_station[booking.station_id] += stretches
        for hand in {booking.hand_id, *(helper.pk for helper in booking.helpers.all())} - {None}:
            on_hand[hand] += stretches
    calendars = Weeks.of(workshop, now)
    stations = [
        _row(station, station.kind, station.places, on_station[station.pk], spans, calendars)
        for station in Station.objects.of(workshop).filter(is_in_use=True)
    ]
    hands = [
        _row(hand, "", 1, together(on_hand[hand.pk]), spans, calendars)
        for hand in Hand.objects.of(workshop).filter(is_in_use=True)
    ]
    busy = max((_last_busy(row) for row in [*stations, *hands]), default=0)
    return Load(
        mondays=mondays,
        stations=tuple(stations),
        hands=tuple(hands),
        narrowest=narrowest(_places([*stations, *hands], busy)),
        busy_until=mondays[busy - 1] + timedelta(days=6) if busy else None,
    )


def _row(
    of: Station | Hand,
    note: str,
    places: int,
    stretches: Sequence[Span],
    spans: Sequence[Span],
    calendars: Weeks,
) -> LoadRow:
    calendar = calendars.calendar_of(of)
    cells = tuple(
        Cell(
            load_min=minutes_within(stretches, *span),
            open_min=places * sum(opening.minutes for opening in calendar.openings(*span)),
        )
        for span in spans
    )
    return LoadRow(name=of.name, note=note, cells=cells, whole=_sum(cells))


def _sum(cells: Iterable[Cell]) -> Cell:
    found = list(cells)
    return Cell(
        load_min=sum(cell.load_min for cell in found), open_min=sum(cell.open_min for cell in found)
    )


def _last_busy(row: LoadRow) -> int:
    """How many weeks it takes until nothing is planned any more."""
    return max((i + 1 for i, cell in enumerate(row.cells) if cell.load_min > 0), default=0)


def _places(rows: Iterable[LoadRow], weeks: int) -> Iterator[Place]:
    """Each row over so many weeks."""
    for row in rows:
        whole = _sum(row.cells[:weeks])
        yield Place(name=row.name, kind=row.note, load_min=whole.load_min, open_min=whole.open_min)
