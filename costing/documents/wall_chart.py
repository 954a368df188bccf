"""The wall chart: a week of the plan on A3, by station and by hand, to be read in ink alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil
from zoneinfo import ZoneInfo

from django.template.loader import render_to_string
from django.utils import timezone

from costing.documents.press import printed
from costing.services.wall import Wall
from shop.core.wallchart import Chart, Lane, Row, draw, text_width
from shop.services.chart import By
from shop.services.lanes import Order, Sheet

HIGHEST = 745.0
"""The height at which a drawing as wide as the page still stands above the title block."""
SQUEEZE = 1.18
"""How much too high a drawing may be before its rows go to another page."""
AROUND = 88.0
"""What a drawing has above and below its rows and its key."""
MOST_KEYS = 24
"""How many orders a key names; the numbers on the bars tell the others."""
KEYS_A_ROW, KEY_WIDTH, KEY_ROW = 4, 299.5, 24.0
NAME_ROOM, NOTE_ROOM = 132.0, 140.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """An order under the chart: its weave and its name, at a place."""

    order: Order
    title: str
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartPage:
    """So many rows of one view as one drawing, with its key; `ident` is its own on the paper."""

    ident: str
    by: By
    chart: Chart
    rows: tuple[tuple[Row, str, str], ...]
    keys: tuple[Key, ...]
    unnamed: int
    is_first: bool

    @property
    def signs_y(self) -> float:
        """Where the signs are explained: under the orders."""
        return max((key.y for key in self.keys), default=self.chart.height) + KEY_ROW

    @property
    def height(self) -> float:
        """The height of the drawing with its key."""
        return self.signs_y + KEY_ROW

    @property
    def has_minding(self) -> bool:
        """Whether light work done beside a running machine lies under its bar in a hand's row."""
        return self.by == "hand" and any(b.work.meanwhile for r in self.chart.rows for b in r.bars)

    @property
    def is_tall(self) -> bool:
        """Whether the drawing must be made smaller to fit on a page."""
        return self.height > HIGHEST


def wall_chart_pdf(wall: Wall) -> bytes:
    """The wall chart on paper, and the late work as rows under it."""
    with timezone.override(ZoneInfo(wall.shop.time_zone)):
        page = render_to_string(
            "documents/wall_chart.html",
            {
                "wall": wall,
                "shop": wall.shop,
                "project": wall.shop.name,
                "made_on": timezone.localdate(wall.now),
                "pages": [page for by, sheet in wall.views for page in _pages(wall, by, sheet)],
                "last_day": wall.views[0][1].axis.days[-1],
            },
        )
        return printed([page])


def _pages(wall: Wall, by: By, sheet: Sheet) -> Iterator[ChartPage]:
    weaves = {order.pk: order.weave for order in sheet.orders}
    for number, lanes in enumerate(_fitting(sheet)):
        chart = draw(lanes, sheet.axis, now=wall.now, weaves=weaves)
        drawn = {bar.work.order for row in chart.rows for bar in row.bars}
        orders = [order for order in sheet.orders if order.pk in drawn]
        yield ChartPage(
            ident=f"{by}{number}-",
            by=by,
            chart=chart,
            rows=tuple(
                (row, fitting(row.name, NAME_ROOM, bold=True), fitting(row.note, NOTE_ROOM))
                for row in chart.rows
            ),
            keys=tuple(_keys(orders[:MOST_KEYS], chart.height + 10)),
            unnamed=max(0, len(orders) - MOST_KEYS),
            is_first=number == 0,
        )


def _keys(orders: Sequence[Order], top: float) -> Iterator[Key]:
    for place, order in enumerate(orders):
        row, column = divmod(place, KEYS_A_ROW)
        room = KEY_WIDTH - 60 - text_width(order.mark, bold=True)
        yield Key(
            order=order,
            title=fitting(order.title, room),
            x=column * KEY_WIDTH,
            y=round(top + row * KEY_ROW, 1),
        )


def fitting(text: str, room: float, *, bold: bool = False) -> str:
    """As much of a text as there is room for, with an ellipsis where it is cut."""
    if text_width(text, bold=bold) <= room:
        return text
    kept = text
    while kept and text_width(f"{kept}…", bold=bold) > room:
        kept = kept[:-1].rstrip(" ,")
    return f"{kept}…"


def _fitting(sheet: Sheet) -> Iterator[Sequence[Lane]]:
    """The lanes in runs that fit on a page, about equally long."""
    heights = [row.foot - row.y for row in sheet.chart.rows]
    keys = min(len(sheet.orders), MOST_KEYS)
    room = HIGHEST * SQUEEZE - AROUND - KEY_ROW * ceil(keys / KEYS_A_ROW)
    fair = sum(heights) / max(1, ceil(sum(heights) / room))
    runs: dict[int, list[Lane]] = defaultdict(list)
    reached = 0.0
    for lane, height in zip(sheet.lanes, heights, strict=True):
        runs[int((reached + height / 2) / fair)].append(lane)
        reached += height
    yield from runs.values()
