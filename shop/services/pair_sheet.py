"""Two plans drawn in one sheet, by order, station or hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from zoneinfo import ZoneInfo

from shop.core.axis import axis_for
from shop.core.pairchart import PairChart, PairRow, Place, draw_pair
from shop.core.wallchart import NAMES, RIGHT
from shop.models import Booking

from .chart import By
from .comparing import Comparison, OrderPair

LONGEST_DAYS = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class PairName:
    """A row's name and, of an order, both sides of it."""

    name: str
    pair: OrderPair | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PairSheet:
    """The drawing, and the names of its rows in their order."""

    chart: PairChart
    names: tuple[PairName, ...]

    @property
    def rows(self) -> list[tuple[PairName, PairRow]]:
        """Each name with its row."""
        return list(zip(self.names, self.chart.rows, strict=True))


def pair_sheet(found: Comparison, by: By) -> PairSheet | None:
    """Draw a comparison; None where neither plan has anything ahead.

    Rows in which nothing moved are left out, unless nothing moved at all.
    """
    zone = ZoneInfo(found.one.workshop.time_zone)
    moved = frozenset(move.operation_id for move in found.moved)
    sides = [list(side.values()) for side in found.bookings]
    shown = {_row(row, by) for side in sides for row in side if row.operation_id in moved}
    shown = shown or {_row(row, by) for side in sides for row in side}
    names = _names([row for side in sides for row in side], by)
    rows = sorted(shown, key=lambda key: names[key])
    places = [[_place(row, by, zone) for row in side if _row(row, by) in shown] for side in sides]
    if not any(places):
        return None
    first = min(place.start for side in places for place in side).astimezone(zone).date()
    last = max(place.end for side in places for place in side).astimezone(zone).date()
    days = [first + timedelta(i) for i in range(min((last - first).days + 1, LONGEST_DAYS))]
    spans = [
        (place.start, place.end)
        for side in places
        for place in side
        if place.start.astimezone(zone).date() == place.end.astimezone(zone).date()
    ]
    axis = axis_for(days, spans, zone, left=NAMES, right=RIGHT)
    pairs = {pair.commission_id: pair for pair in found.orders}
    dues = {pk: pair.due for pk, pair in pairs.items() if pair.due} if by == "order" else {}
    return PairSheet(
        chart=draw_pair(rows, places[0], places[1], moved, axis, dues=dues),
        names=tuple(
            PairName(name=names[key], pair=pairs.get(key) if by == "order" else None)
            for key in rows
        ),
    )


def _row(row: Booking, by: By) -> int:
    key = {
        "order": row.operation.commission_id,
        "station": row.station_id,
        "hand": row.hand_id,
    }[by]
    return key or 0


def _names(rows: Sequence[Booking], by: By) -> Mapping[int, str]:
    return {
        _row(row, by): {
            "order": f"{row.operation.commission.mark} {row.operation.commission.title}",
            "station": str(row.station or "No station"),
            "hand": str(row.hand or "Nobody"),
        }[by]
        for row in rows
    }


def _place(row: Booking, by: By, zone: ZoneInfo) -> Place:
    start, end = row.starts_at.astimezone(zone), row.ends_at.astimezone(zone)
    where = ", ".join(str(part) for part in (row.station, row.hand) if part)
    return Place(
        row=_row(row, by),
        key=row.operation_id,
        start=start,
        end=end,
        words=f"{row.operation.mark} {row.operation.name}, {start:%a %-d %b %H:%M}, {where}",
    )
