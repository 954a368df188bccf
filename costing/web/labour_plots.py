"""The plots of labour: a strip of times with the standard and its band, a trend, losses by money."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.safestring import SafeString
from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from costing.web.plots import EDGE, FILM, INK, INK_2, OAK, RULE, WASH, drawn

TICKS = (0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 10.0)
LABELS = {0.25: "¼ ×", 0.5: "½ ×", 0.75: "¾ ×", 1.0: "standard", 1.5: "1½ ×"}
Z_80 = 1.2816
MOST_BARS = 12
SHORTEST_LABEL = 34


@dataclass(frozen=True, slots=True, kw_only=True)
class Dot:
    """One batch: taken over standard, on a day; and whether it looks wrong."""

    ratio: float
    on: date
    is_doubtful: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """A ratio with its interval."""

    ratio: float
    low: float
    high: float


def strip(dots: Sequence[Dot], spread: float, learned: Reach | None) -> SafeString:
    """Every batch on a line of ratios, the standard with its 80 % band, and what was learned."""

    def draw(axes: Axes) -> None:
        axes.axvspan(math.exp(-Z_80 * spread), math.exp(Z_80 * spread), color=WASH, lw=0)
        axes.axvline(1.0, color=INK, lw=1.1)
        places = [(dot.ratio, _apart(number)) for number, dot in enumerate(dots)]
        sound = [at for at, dot in zip(places, dots, strict=True) if not dot.is_doubtful]
        doubtful = [at for at, dot in zip(places, dots, strict=True) if dot.is_doubtful]
        axes.plot(*_columns(sound), "o", ms=5, mfc=FILM, mec=INK, mew=0.9)
        axes.plot(*_columns(doubtful), "x", ms=6, mec=INK, mew=1.1)
        if learned:
            axes.plot(
                [learned.low, learned.high], [-0.75] * 2, color=OAK, lw=3, solid_capstyle="butt"
            )
            axes.plot([learned.ratio], [-0.75], "D", ms=7, mfc=FILM, mec=INK, mew=1.1)
        axes.set_ylim(-1.1, 1.0)
        axes.yaxis.set_visible(False)
        _ratios(axes, [dot.ratio for dot in dots])

    return drawn(
        draw,
        ident="strip",
        title=f"{len(dots)} batches on a line of taken over standard; the table below has them all",
        width_px=640,
        height_px=170,
    )


def trend(dots: Sequence[Dot]) -> SafeString:
    """Taken over standard in the course of time, with the middle of each month."""

    def draw(axes: Axes) -> None:
        axes.axhline(1.0, color=INK, lw=1.1)
        sound = [dot for dot in dots if not dot.is_doubtful]
        days = [float(dot.on.toordinal()) for dot in sound]
        axes.plot(days, [dot.ratio for dot in sound], "o", ms=4.5, mfc=FILM, mec=EDGE, mew=0.8)
        middles = middles_of(sound)
        axes.plot(
            [float(date(year, month, 15).toordinal()) for (year, month), _ in middles],
            [middle for _, middle in middles],
            color=OAK,
            lw=1.8,
            marker="D",
            ms=5,
            mec=INK,
            mfc=OAK,
        )
        axes.spines["left"].set_visible(True)
        _ratios(axes, [dot.ratio for dot in sound], vertical=True)
        axes.xaxis.set_major_formatter(FuncFormatter(_month))
        axes.xaxis.set_major_locator(FixedLocator(_firsts(days)))

    return drawn(
        draw,
        ident="trend",
        title="Taken over standard by day, with the middle of each month; the table has the months",
        width_px=640,
        height_px=220,
    )


def middles_of(dots: Sequence[Dot]) -> list[tuple[tuple[int, int], float]]:
    """The typical ratio of each month that has batches, by year and month."""
    months: dict[tuple[int, int], list[float]] = {}
    for dot in dots:
        months.setdefault((dot.on.year, dot.on.month), []).append(math.log(dot.ratio))
    return [(key, math.exp(sum(logs) / len(logs))) for key, logs in sorted(months.items())]


def losses(rows: Sequence[tuple[str, float]], unit: str) -> SafeString:
    """What was lost, to the right, and gained, to the left, the dearest on top."""
    shown = sorted(rows, key=lambda row: -abs(row[1]))[:MOST_BARS]
    shown.sort(key=lambda row: row[1])

    def draw(axes: Axes) -> None:
        for place, (_, lost) in enumerate(shown):
            axes.barh(
                place,
                lost,
                height=0.62,
                color=INK if lost > 0 else FILM,
                edgecolor=INK,
                lw=0.9,
            )
        axes.axvline(0, color=INK, lw=1.1)
        axes.set_yticks(range(len(shown)), [_short(label) for label, _ in shown])
        axes.tick_params(axis="y", length=0)
        axes.grid(axis="x", color=RULE, lw=0.6)
        axes.set_axisbelow(True)
        axes.set_xlabel(f"gained  ←  {unit}  →  lost", color=INK_2)
        axes.xaxis.set_major_formatter(
            FuncFormatter(lambda value, _: f"{value:,.0f}".replace(",", " "))
        )

    return drawn(
        draw,
        ident="losses",
        title="What was lost and gained by joint type and operation; the table has every figure",
        width_px=760,
        height_px=90 + 24 * max(1, len(shown)),
    )


def _ratios(
    axes: Axes, ratios: Sequence[float], *, vertical: bool = False, middle: str = "standard"
) -> None:
    """A logarithmic axis of ratios, at least from half to twice the standard."""
    low, high = min([0.5, *ratios]) * 0.9, max([2.0, *ratios]) * 1.1
    ticks = [tick for tick in TICKS if low <= tick <= high]
    axis = axes.yaxis if vertical else axes.xaxis
    if vertical:
        axes.set_yscale("log")
        axes.set_ylim(low, high)
    else:
        axes.set_xscale("log")
        axes.set_xlim(low, high)
    axis.set_major_locator(FixedLocator(ticks))
    axis.set_minor_locator(NullLocator())
    labels = {**LABELS, 1.0: middle}
    axis.set_major_formatter(FuncFormatter(lambda value, _: labels.get(value, f"{value:g} ×")))


def _apart(number: int) -> float:
    """A height that sets like ratios apart, the same each time (the golden section)."""
    return (number * 0.6180339887 % 1.0) * 1.3 - 0.45


def _columns(places: Sequence[tuple[float, float]]) -> tuple[list[float], list[float]]:
    return [across for across, _ in places], [up for _, up in places]


def _month(value: float, _: int | None = None) -> str:
    day = date.fromordinal(round(value))
    return f"{day:%b}" if day.month > 1 else f"{day:%b %Y}"


def _firsts(days: Sequence[float]) -> list[float]:
    """The first of each month between the first day and the last."""
    if not days:
        return []
    first, last = (date.fromordinal(int(day)) for day in (min(days), max(days)))
    count = (last.year - first.year) * 12 + last.month - first.month + 1
    step = max(1, count // 9)
    months = [first.month - 1 + number for number in range(0, count + 1, step)]
    return [float(date(first.year + m // 12, m % 12 + 1, 1).toordinal()) for m in months]


def _short(text: str) -> str:
    return text if len(text) <= SHORTEST_LABEL + 8 else f"{text[: SHORTEST_LABEL + 6]}…"


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """An order: hours taken, as shares of the hours foretold in the middle."""

    on: date
    low: float
    p80: float
    high: float
    taken: float


def promises(orders: Sequence[Promise]) -> SafeString:
    """Each order with its 80 % band about what was foretold, and where it came out."""

    def draw(axes: Axes) -> None:
        for place, one in enumerate(orders):
            axes.plot([place, place], [one.low, one.high], color=RULE, lw=6, solid_capstyle="butt")
            axes.plot([place - 0.32, place + 0.32], [one.p80] * 2, color=OAK, lw=1.6)
        kept = [(float(n), one.taken) for n, one in enumerate(orders) if one.taken <= one.p80]
        missed = [(float(n), one.taken) for n, one in enumerate(orders) if one.taken > one.p80]
        axes.plot(*_columns(kept), "o", ms=5, mfc=FILM, mec=INK, mew=0.9)
        axes.plot(*_columns(missed), "s", ms=5, mfc=INK, mec=INK)
        axes.axhline(1.0, color=INK, lw=1.1)
        axes.spines["left"].set_visible(True)
        ends = [end for one in orders for end in (one.low, one.high, one.taken)]
        _ratios(axes, ends, vertical=True, middle="foretold")
        step = max(1, len(orders) // 9)
        places = range(0, len(orders), step)
        axes.set_xticks(list(places), [f"{orders[n].on:%-d %b}" for n in places])

    return drawn(
        draw,
        ident="promises",
        title="Hours taken of each order against the band foretold; the table has the months",
        width_px=760,
        height_px=260,
    )
