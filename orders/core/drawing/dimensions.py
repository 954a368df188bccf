"""Dimension lines: figures above them, oblique ticks, in tiers that keep clear of one another."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import atan2, degrees, hypot

from orders.core.drawing.flat import (
    Box,
    Loop,
    around,
    box_meets_loop,
    boxes_meet,
    grown,
    segment_meets_box,
)
from orders.core.drawing.projection import Spot
from orders.core.drawing.svg import TEXT_PX, line, path, text, text_width
from orders.core.lengths import MM_PER_INCH

FIRST_TIER = 18.0
WHERE_FIGURES_FACE_THE_WOOD = 6.0
TIER = 19.0
TICK = 2.2
OVERRUN = 3.0
AWAY = 4.0
MOST_TIERS = 40
ACROSS_WOOD = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """A length on the sheet: its figure and the two spots it lies between."""

    figure: str
    start: Spot
    end: Spot


@dataclass(frozen=True, slots=True, kw_only=True)
class DimensionLine:
    """A measure with its place: every stroke of it, and the box and turn of its figure."""

    measure: Measure
    strokes: tuple[tuple[Spot, Spot], ...]
    ticks: tuple[tuple[Spot, Spot], ...]
    at: Spot
    turned: float
    anchor: str
    text_box: Box
    run: Box
    box: Box

    def svg(self) -> str:
        """Extension lines, dimension line, ticks and figure."""
        return (
            path("d-dim", "".join(line(*stroke) for stroke in self.strokes))
            + path("d-tick", "".join(line(*tick) for tick in self.ticks))
            + text("d-fig", self.measure.figure, self.at, anchor=self.anchor, turned=self.turned)
        )


def figure(value_mm: float, unit: str = "mm") -> str:
    """A length as it stands on a dimension line, without its unit.

    Millimetres to a hundredth without trailing zeros; inches as a binary fraction, to a
    sixty-fourth where the length is one exactly and to the nearest thirty-second otherwise.
    """
    if unit == "mm":
        return f"{Decimal(repr(round(value_mm, 2))).normalize():f}"
    inches = Fraction(value_mm) / Fraction(MM_PER_INCH)
    fine = Fraction(round(inches * 64), 64)
    nearest = (
        fine
        if abs(fine - inches) * Fraction(MM_PER_INCH) < Fraction(1, 1000)
        else Fraction(round(inches * 32), 32)
    )
    whole, rest = divmod(nearest, 1)
    if not rest:
        return str(whole)
    fraction = f"{rest.numerator}/{rest.denominator}"
    return f"{whole} {fraction}" if whole else fraction


def lay_out(
    measures: Sequence[Measure],
    body: Sequence[Loop],
    strands: Sequence[tuple[Spot, Spot]] = (),
    size: float = TEXT_PX,
) -> list[DimensionLine]:
    """Place every measure outside the shapes of the body, short ones nearest, none over another.

    No figure lies on one of the strands, such as break lines and centre lines.
    """
    placed: list[DimensionLine] = []
    for measure in sorted(measures, key=_length):
        placed.append(_best(measure, body, strands, placed, size))
    return placed


def _best(
    measure: Measure,
    body: Sequence[Loop],
    strands: Sequence[tuple[Spot, Spot]],
    placed: Sequence[DimensionLine],
    size: float,
) -> DimensionLine:
    sides = _sides(measure, body)
    choices = sorted(
        (tier * TIER + ACROSS_WOOD * distance, place, tier)
        for place, (_, _, distance) in enumerate(sides)
        for tier in range(MOST_TIERS)
    )
    for _, place, tier in choices:
        base, outward, _ = sides[place]
        for outside in _figure_places(measure, size):
            candidate = _drawn(measure, base, outward, tier, outside, size)
            if _is_clear(candidate, placed, body, strands):
                return candidate
    base, outward, _ = sides[0]
    return _drawn(measure, base, outward, MOST_TIERS + len(placed), 0, size)


def _sides(measure: Measure, body: Sequence[Loop]) -> list[tuple[float, Spot, float]]:
    """The two sides a dimension line may lie on, nearest first.

    For each: how far out the wood reaches, the way out, and how far that is from the measure.
    """
    (u0, v0), (u1, v1) = measure.start, measure.end
    length = hypot(u1 - u0, v1 - v0)
    normal = (-(v1 - v0) / length, (u1 - u0) / length)
    sides = []
    for sign in (1.0, -1.0):
        out = (normal[0] * sign, normal[1] * sign)
        rim = max(out[0] * u + out[1] * v for loop in body for u, v in loop)
        here = max(out[0] * u0 + out[1] * v0, out[0] * u1 + out[1] * v1)
        sides.append((rim, out, max(0.0, rim - here)))
    sides.sort(key=lambda side: (round(side[2], 1), -side[1][1], side[1][0]))
    return sides


def _figure_places(measure: Measure, size: float) -> tuple[int, ...]:
    """0 is above the middle of the line; 1 and -1 outside either end when the gap is narrow."""
    room = _length(measure) - 2 * TICK - 2
    return (0,) if text_width(measure.figure, size) <= room else (1, -1)


def _drawn(
    measure: Measure, base: float, outward: Spot, tier: int, outside: int, size: float
) -> DimensionLine:
    first, last = measure.start, measure.end
    if (round(first[0], 6), -first[1]) > (round(last[0], 6), -last[1]):
        first, last = last, first
    length = _length(measure)
    along = ((last[0] - first[0]) / length, (last[1] - first[1]) / length)
    above = (along[1], -along[0])
    reach = base + FIRST_TIER + tier * TIER
    if above[0] * outward[0] + above[1] * outward[1] < 0:
        reach += WHERE_FIGURES_FACE_THE_WOOD
    start, end = _out(first, outward, reach), _out(last, outward, reach)
    wide = text_width(measure.figure, size)
    low, high = -OVERRUN, length + OVERRUN
    if outside > 0:
        centre = length + TICK + 4 + wide / 2
        high = length + TICK + 4 + wide
    elif outside < 0:
        centre = -TICK - 4 - wide / 2
        low = -TICK - 4 - wide
    else:
        centre = length / 2
    at = _along(start, along, centre, above, 2.8)
    corners = [
        _along(start, along, centre + side * wide / 2, above, lift)
        for side in (-1, 1)
        for lift in (1.6, 2.0 + size * 0.78)
    ]
    text_box = _box(corners)
    strokes = [(_along(start, along, low, above, 0), _along(start, along, high, above, 0))]
    for spot in (measure.start, measure.end):
        mine = outward[0] * spot[0] + outward[1] * spot[1]
        if reach - mine > AWAY + 1:
            strokes.append((_out(spot, outward, mine + AWAY), _out(spot, outward, reach + OVERRUN)))
    ticks = tuple(
        (
            _along(spot, along, -TICK, above, -TICK),
            _along(spot, along, TICK, above, TICK),
        )
        for spot in (start, end)
    )
    return DimensionLine(
        measure=measure,
        strokes=tuple(strokes),
        ticks=ticks,
        at=at,
        turned=degrees(atan2(along[1], along[0])),
        anchor="middle",
        text_box=text_box,
        run=_box(
            [
                _along(start, along, low if outside < 0 else 1.0, above, 0),
                _along(start, along, high if outside > 0 else length - 1.0, above, 0),
            ]
        ),
        box=around([text_box, *(_box(stroke) for stroke in strokes), *(_box(t) for t in ticks)]),
    )


def _is_clear(
    candidate: DimensionLine,
    placed: Sequence[DimensionLine],
    body: Sequence[Loop],
    strands: Sequence[tuple[Spot, Spot]],
) -> bool:
    mine = grown(candidate.text_box, 1.5)
    if any(box_meets_loop(mine, loop) for loop in body):
        return False
    if any(segment_meets_box(start, end, mine) for start, end in strands):
        return False
    run = grown(candidate.run, 0.5)
    for other in placed:
        theirs = grown(other.text_box, 1.5)
        if boxes_meet(mine, theirs):
            return False
        if any(segment_meets_box(*stroke, mine) for stroke in other.strokes):
            return False
        if any(segment_meets_box(*stroke, theirs) for stroke in candidate.strokes):
            return False
        apart = 0.5 if abs(other.turned - candidate.turned) < 1 else 5.0
        if boxes_meet(run, grown(other.run, apart)):
            return False
    return True


def _length(measure: Measure) -> float:
    return hypot(measure.end[0] - measure.start[0], measure.end[1] - measure.start[1])


def _out(spot: Spot, outward: Spot, reach: float) -> Spot:
    mine = outward[0] * spot[0] + outward[1] * spot[1]
    return spot[0] + outward[0] * (reach - mine), spot[1] + outward[1] * (reach - mine)


def _along(start: Spot, along: Spot, far: float, above: Spot, lift: float) -> Spot:
    return (
        start[0] + along[0] * far + above[0] * lift,
        start[1] + along[1] * far + above[1] * lift,
    )


def _box(spots: Sequence[Spot]) -> Box:
    across, down = [spot[0] for spot in spots], [spot[1] for spot in spots]
    return min(across), min(down), max(across), max(down)
