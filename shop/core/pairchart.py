"""Two plans in one drawing: each row has two lanes, and what moved is joined from one to the other.

Lengths are units of the drawing, as on the wall chart.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from .axis import Axis
from .wallchart import TOP, Tick, ticks_of_days

ROW = 58.0
BAR = 15.0
GAP = 14.0
FIRST = 7.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """An operation in one plan: in which row, from when to when, and how a reader names it."""

    row: int
    key: int
    start: datetime
    end: datetime
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PairBar:
    """A place as drawn."""

    key: int
    x: float
    y: float
    width: float
    words: str
    is_moved: bool

    @property
    def foot(self) -> float:
        """Its lower edge."""
        return self.y + BAR


@dataclass(frozen=True, slots=True, kw_only=True)
class PairRow:
    """A row with its two lanes; `due_x` is where its order stops being in time."""

    key: int
    y: float
    foot: float
    due_x: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PairChart:
    """Everything that is drawn; `joins` are paths from where work was to where it is."""

    rows: tuple[PairRow, ...]
    before: tuple[PairBar, ...]
    after: tuple[PairBar, ...]
    joins: tuple[str, ...]
    days: tuple[Tick, ...]
    foot: float


def draw_pair(
    rows: Sequence[int],
    before: Sequence[Place],
    after: Sequence[Place],
    moved: frozenset[int],
    axis: Axis,
    *,
    dues: Mapping[int, datetime] | None = None,
) -> PairChart:
    """Draw the places of two plans in these rows, the first plan in the upper lane of each."""
    tops = {row: TOP + i * ROW for i, row in enumerate(rows)}
    upper = [_bar(place, tops[place.row] + FIRST, moved, axis) for place in before]
    lower = [_bar(place, tops[place.row] + FIRST + BAR + GAP, moved, axis) for place in after]
    was = {bar.key: bar for bar in upper if bar.is_moved}
    joins = [_join(was[bar.key], bar) for bar in lower if bar.key in was]
    return PairChart(
        rows=tuple(
            PairRow(key=row, y=y, foot=y + ROW, due_x=_due_x((dues or {}).get(row), axis))
            for row, y in tops.items()
        ),
        before=tuple(upper),
        after=tuple(lower),
        joins=tuple(joins),
        days=ticks_of_days(axis),
        foot=TOP + len(tops) * ROW,
    )


def _bar(place: Place, y: float, moved: frozenset[int], axis: Axis) -> PairBar:
    x, end = axis.x(place.start), axis.x(place.end)
    return PairBar(
        key=place.key,
        x=round(x, 1),
        y=y,
        width=round(max(3.0, end - x), 1),
        words=place.words,
        is_moved=place.key in moved,
    )


def _join(was: PairBar, now: PairBar) -> str:
    return f"M{was.x + 1.5} {was.foot}L{now.x + 1.5} {now.y}"


def _due_x(due: datetime | None, axis: Axis) -> float | None:
    if due is None or not axis.starts_at < due:
        return None
    x = axis.x(due)
    return round(x, 1) if x < axis.right else None
