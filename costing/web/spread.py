"""How sure a total is, as a drawing: the curve on a dimension line, with P50, P80, P90 and a price."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from costing.core.distribution import Distribution

BASE = 50.0
TOP = 8.0
EDGE = 4.0
SAMPLES = 72
GAP = 8.0
LETTER = 6.4
"""Width of a letter of the smallest text, a little more than it is."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A tick on the line: where it stands, where its words stand, and what they are."""

    at: float
    text_at: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """The drawing: paths in user units, ticks, and a sentence that says the same."""

    width: float
    curve: str
    over: str
    marks: tuple[Mark, ...]
    price: Mark | None
    sentence: str

    @property
    def view_box(self) -> str:
        """The frame of the drawing."""
        return f"0 0 {self.width:g} 84"

    @property
    def start(self) -> float:
        """Where the dimension line begins."""
        return EDGE

    @property
    def end(self) -> float:
        """Where it ends."""
        return self.width - EDGE


def spread_of(
    total: Distribution,
    written: Callable[[float], str],
    *,
    noun: str,
    price: float | None = None,
    width: float = 640.0,
) -> Spread:
    """Draw a total; what lies above `price` is hatched, for it is lost there."""
    sentence = (
        f"{noun}: half chance below {written(total.p50)}, four in five below "
        f"{written(total.p80)}, nine in ten below {written(total.p90)}."
    )
    low, high = _range(total, price)

    def x(value: float) -> float:
        return EDGE + (width - 2 * EDGE) * (value - low) / (high - low)

    points = [(x(value), y) for value, y in _curve(total, low, high)]
    percentiles = [("P50", total.p50), ("P80", total.p80), ("P90", total.p90)]
    words = [f"{name} {written(value)}" for name, value in percentiles]
    places = _apart([x(value) for _, value in percentiles], words, width)
    return Spread(
        width=width,
        curve=_path(points),
        over=_over(points, x(price)) if price is not None else "",
        marks=tuple(
            Mark(round(x(value), 1), round(place, 1), text)
            for (_, value), place, text in zip(percentiles, places, words, strict=True)
        ),
        price=_price(x(price), f"price {written(price)}", width) if price is not None else None,
        sentence=sentence,
    )


def _range(total: Distribution, price: float | None) -> tuple[float, float]:
    low, high = total.at(0.005), total.at(0.995)
    if price is not None:
        low, high = min(low, price), max(high, price)
    if high <= low:
        low, high = low * 0.9 - 1, high * 1.1 + 1
    return low, high


def _curve(total: Distribution, low: float, high: float) -> list[tuple[float, float]]:
    """Values and heights of the curve; a certain total is a single line."""
    step = (high - low) / SAMPLES
    values = [low + step * place for place in range(SAMPLES + 1)]
    if total.sd <= 0:
        return [
            (low, BASE),
            (total.mean, BASE),
            (total.mean, TOP),
            (total.mean, BASE),
            (high, BASE),
        ]
    dense = [
        max(0.0, total.chance_above(value - step / 2) - total.chance_above(value + step / 2))
        for value in values
    ]
    most = max(dense) or 1.0
    return [
        (value, BASE - (BASE - TOP) * height / most)
        for value, height in zip(values, dense, strict=True)
    ]


def _over(points: list[tuple[float, float]], at: float) -> str:
    """The part of the curve beyond the price, closed along the line."""
    beyond = [(x, y) for x, y in points if x >= at]
    if not beyond:
        return ""
    before = [(x, y) for x, y in points if x < at]
    if before:
        (x0, y0), (x1, y1) = before[-1], beyond[0]
        beyond.insert(0, (at, y0 + (y1 - y0) * (at - x0) / (x1 - x0) if x1 > x0 else y1))
    return f"M{at:.1f} {BASE:g}L" + _path(beyond)[1:] + f"L{beyond[-1][0]:.1f} {BASE:g}Z"


def _path(points: list[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)


def _apart(places: list[float], words: list[str], width: float) -> list[float]:
    """Where the words stand so that none runs into its neighbour or over the edge."""
    halves = [len(text) * LETTER / 2 for text in words]
    found: list[float] = []
    for place, half in zip(places, halves, strict=True):
        least = found[-1] + halves[len(found) - 1] + GAP + half if found else half
        found.append(max(place, least))
    most = width
    for number in range(len(found) - 1, -1, -1):
        found[number] = min(found[number], most - halves[number])
        most = found[number] - halves[number] - GAP
    return found


def _price(at: float, words: str, width: float) -> Mark:
    half = len(words) * LETTER / 2
    return Mark(round(at, 1), round(min(max(at, half), width - half), 1), words)
