"""What the wall chart draws: the plan ahead, and what was really clocked behind it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.utils import timezone

from orders.models.owned import OwnedQuerySet
from orders.services.release import GONE
from shop.core.axis import Axis, axis_for
from shop.core.minding import Attention, while_running
from shop.core.spans import load_min
from shop.core.wallchart import NAMES, RIGHT, Chart, Closed, Lane, Work, draw, weaves_of
from shop.models import Clocking, Plan

from .chart import ChartBar, ChartRow, OrderEnd, WallChart, ends_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """An order on the chart, for the key."""

    pk: int
    mark: str
    title: str
    weave: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """The drawing, its lanes as rows of a table, and the orders on it."""

    chart: Chart
    lanes: tuple[Lane, ...]
    orders: tuple[Order, ...]
    axis: Axis

    @property
    def has_overtime(self) -> bool:
        """Whether anybody works beyond regular hours in it."""
        return any(work.overtime for lane in self.lanes for work in lane.works)

    @property
    def has_minding(self) -> bool:
        """Whether anybody does light work while a machine runs in it."""
        return any(work.meanwhile for lane in self.lanes for work in lane.works)


def sheet_of(plan: Plan, found: WallChart, *, now: datetime, followed: int | None) -> Sheet:
    """Draw a stretch of the plan."""
    zone = ZoneInfo(plan.workshop.time_zone)
    clockings = _Clockings(clockings_in(plan, found, now), now, found.by)
    ends = ends_of(plan)
    lanes = [_lane(row, clockings, ends, zone) for row in found.rows]
    if found.unplaced or clockings.of_row(None):
        lanes.append(_lane(_unplaced(found), clockings, ends, zone, pk=None))
    titles = {bar.commission_id: bar.title for row in found.rows for bar in row.bars}
    titles |= {bar.commission_id: bar.title for bar in found.unplaced} | clockings.titles()
    works = [work for lane in lanes for work in lane.works]
    weaves = weaves_of([work.order for work in works])
    marks = {work.order: work.mark for work in works}
    open_hours = [span for row in found.rows for span in row.openings]
    spans = open_hours + [(work.start, work.end) for work in works]
    axis = axis_for(found.days, _by_day(spans, zone), zone, left=NAMES, right=RIGHT)
    return Sheet(
        chart=draw(lanes, axis, now=now, followed=followed, weaves=weaves),
        lanes=tuple(lanes),
        orders=tuple(
            Order(pk=pk, mark=marks[pk], title=titles[pk], weave=weaves[pk])
            for pk in sorted(weaves, key=lambda pk: marks[pk])
        ),
        axis=axis,
    )


def clockings_in(plan: Plan, found: WallChart, now: datetime) -> OwnedQuerySet:
    """What was clocked in the days of the chart."""
    rows = Clocking.objects.of(plan.workshop).filter(started_at__lt=min(found.end, now))
    ended = rows.exclude(ended_at__lte=found.start)
    return ended.select_related("operation__commission", "hand", "station").order_by("started_at")


class _Clockings:
    """The clockings by the row they belong to."""

    def __init__(self, clockings: Iterable[Clocking], now: datetime, by: str) -> None:
        self.now = now
        self.by_row: dict[int | None, list[Clocking]] = defaultdict(list)
        self.by = by
        self.running: dict[int, Clocking] = {}
        self.all = list(clockings)
        self.meanwhile = {
            clocking.pk: while_running(self._beside(clocking))
            for clocking in self.all
            if clocking.attention == Attention.LIGHT
        }
        for clocking in self.all:
            row = {
                "station": clocking.station_id,
                "hand": clocking.hand_id,
                "order": clocking.operation.commission_id,
            }[by]
            self.by_row[row].append(clocking)
            if clocking.ended_at is None:
                self.running.setdefault(clocking.operation_id, clocking)

    def of_row(self, pk: int | None) -> list[Clocking]:
        """Those of one station or hand."""
        return self.by_row.get(pk, [])

    def minutes_of(self, clockings: Iterable[Clocking]) -> float:
        """Minutes clocked; a hand's minutes with two things at once count once."""
        spans = [(one.started_at, one.ended_at or self.now) for one in clockings]
        return load_min(spans, of_hand=self.by == "hand")

    def _beside(self, light: Clocking) -> Iterator[str]:
        """The stations of the runs that the hand minded during light work."""
        until = light.ended_at or self.now
        for one in self.all:
            is_minded = one.hand_id == light.hand_id and one.attention == Attention.MINDED
            ends = one.ended_at or self.now
            if is_minded and one.started_at < until and light.started_at < ends:
                yield str(one.station or "machine")

    def titles(self) -> dict[int, str]:
        """The titles of the orders that were worked on."""
        orders = (clocking.operation.commission for clocking in self.all)
        return {order.pk: order.title for order in orders}


def _lane(
    row: ChartRow,
    clockings: _Clockings,
    ends: Mapping[int, OrderEnd],
    zone: ZoneInfo,
    *,
    pk: int | None = -1,
) -> Lane:
    past = clockings.of_row(row.pk if pk == -1 else None)
    works = [_clocked(clocking, clockings, row.bars, ends, zone) for clocking in past]
    drawn = {clocking.operation_id for clocking in past if clocking.ended_at is None}
    works += [
        _booked(bar, ends, zone)
        for bar in row.bars
        if bar.operation_id not in drawn and bar.state not in GONE
    ]
    return Lane(
        name=row.name,
        note=row.note,
        works=tuple(sorted(works, key=lambda work: (work.start, work.end))),
        closures=tuple(
            Closed(start=closure.start, end=closure.end, reason=closure.reason)
            for closure in row.closures
        ),
        load_min=row.load_min + clockings.minutes_of(past),
        open_min=row.open_min,
        pk=row.pk if pk == -1 else 0,
        takes=row.skills or (row.note,),
        openings=row.openings,
        due=row.due,
        ends_at=row.ends_at,
    )


def _booked(bar: ChartBar, ends: Mapping[int, OrderEnd], zone: ZoneInfo) -> Work:
    end = ends.get(bar.commission_id)
    due = end.due if end is not None else None
    is_late = due is not None and bar.end > due
    who = bar.hand or "nobody"
    beyond_min = sum((b - a).total_seconds() for a, b in bar.overtime) / 60
    return Work(
        order=bar.commission_id,
        mark=bar.commission_mark,
        labels=_labels(bar.commission_mark, bar.name),
        words=_words(bar.mark, bar.title, bar.name, who, (bar.start, bar.end), zone)
        + (", late" if is_late else _to_spare(end))
        + (f", {bar.meanwhile}" if bar.meanwhile else "")
        + (", pinned" if bar.pin else "")
        + (f", {beyond_min / 60:.1f} h overtime" if beyond_min else "")
        + (_goes(bar.away, zone) if bar.away else ""),
        operation=bar.name,
        station=bar.station,
        hand=", ".join([bar.hand, *bar.helpers]) if bar.hand else "",
        start=bar.start,
        end=bar.end,
        pk=bar.operation_id,
        is_late=is_late,
        work_min=sum((b - a).total_seconds() for a, b in bar.stretches) / 60,
        overtime=bar.overtime,
        overtime_min=beyond_min,
        away=bar.away,
        kind=bar.kind,
        skill=bar.skill,
        is_pinned=bar.pin is not None,
        pinned_to=(bar.pin.station_id or 0, bar.pin.hand_id or 0) if bar.pin else (0, 0),
        due=due if end is not None and end.operation_id == bar.operation_id else None,
        meanwhile=bar.meanwhile,
    )


def _clocked(
    clocking: Clocking,
    known: _Clockings,
    bars: Sequence[ChartBar],
    ends: Mapping[int, OrderEnd],
    zone: ZoneInfo,
) -> Work:
    """A clocking; one that runs reaches to where the plan has its end."""
    operation, order, now = clocking.operation, clocking.operation.commission, known.now
    meanwhile = known.meanwhile.get(clocking.pk, "")
    is_running = clocking.ended_at is None
    planned = next((bar.end for bar in bars if bar.operation_id == operation.pk), now)
    end = clocking.ended_at or max(planned, now)
    due = ends[order.pk].due if order.pk in ends else None
    is_late = is_running and due is not None and end > due
    state = "running" if is_running else "done" if operation.state in GONE else "begun"
    span = (clocking.started_at, end)
    return Work(
        order=order.pk,
        mark=order.mark,
        labels=_labels(order.mark, operation.name),
        words=f"{_words(operation.mark, order.title, operation.name, str(clocking.hand), span, zone)}"
        f", {state}" + (f", {meanwhile}" if meanwhile else "") + (", late" if is_late else ""),
        operation=operation.name,
        station=str(clocking.station or ""),
        hand=str(clocking.hand),
        start=clocking.started_at,
        end=end,
        is_late=is_late,
        is_done=not is_running,
        is_running=is_running,
        meanwhile=meanwhile,
    )


def _to_spare(end: OrderEnd | None) -> str:
    """How long before its time the order is done."""
    if end is None or end.due is None or end.due <= end.ends_at:
        return ""
    hours = (end.due - end.ends_at).total_seconds() / 3600
    return f", order has {hours / 24:.1f} days to spare" if hours >= 24 else ", order just in time"


def _labels(mark: str, name: str) -> tuple[str, ...]:
    """The order with the operation, with its joint only, alone."""
    what, _, joint = name.rpartition(", ")
    short = (f"{mark} {joint}",) if what else ()
    return (f"{mark} {name}", *short, mark)


def _words(
    mark: str, title: str, name: str, who: str, span: tuple[datetime, datetime], zone: ZoneInfo
) -> str:
    start, end = (at.astimezone(zone) for at in span)
    until = f"{end:%H:%M}" if start.date() == end.date() else f"{end:%a %H:%M}"
    return f"{mark} {title}, {name}, {start:%a %H:%M} to {until}, {who}"


def _goes(away: tuple[datetime, datetime], zone: ZoneInfo) -> str:
    """When pieces go out and are back."""
    out, back = (f"{at.astimezone(zone):%a %-d %b %H:%M}" for at in away)
    return f", goes out {out}, back {back}"


def _unplaced(found: WallChart) -> ChartRow:
    name = "No station" if found.by == "station" else "Nobody"
    return ChartRow(
        pk=0,
        name=name,
        note="outwork and the like",
        places=1,
        is_in_use=True,
        bars=found.unplaced,
        closures=(),
        openings=(),
        load_min=0,
        open_min=0,
    )


def _by_day(
    spans: Sequence[tuple[datetime, datetime]], zone: ZoneInfo
) -> list[tuple[datetime, datetime]]:
    """Only stretches that lie in one day say how long a day is drawn."""
    return [
        (a, b)
        for a, b in spans
        if timezone.localtime(a, zone).date() == timezone.localtime(b, zone).date() and a < b
    ]
