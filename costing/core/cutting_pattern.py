"""One piece of stock cut well: a bar filled along its length, a board strip by strip."""

import random
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from costing.core.cutting_fill import best_fill
from costing.core.cutting_job import CutPart, CuttingRules, Grain, StockKind, StockPiece

OPENERS = 10
WELL_FILLED = 0.85
NEAR_WIDTH = 0.8


@dataclass(frozen=True, slots=True)
class Shape:
    """A part as it lies in the stock: `along` and `across` it, in micrometres."""

    part: int
    along: int
    across: int
    is_turned: bool


@dataclass(frozen=True, slots=True)
class Blank:
    """A stock line ready for planning: what the saw can use of it, and the shapes that fit."""

    place: int
    is_bar: bool
    along: int
    across: int
    cost: Fraction
    shapes: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class Rip:
    """A strip of a pattern: its width and the shapes crosscut from it, in order."""

    across: int
    shapes: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class Pattern:
    """How a blank is cut; `counts` is parts by place, `value` their area."""

    blank: Blank
    rips: tuple[Rip, ...]
    counts: Mapping[int, int]
    value: int


@lru_cache(maxsize=65536)
def micrometres_up(millimetres: float) -> int:
    """A part's size: never taken too small."""
    return -int(-Fraction(repr(float(millimetres))) * 1000 // 1)


@lru_cache(maxsize=65536)
def micrometres_down(millimetres: float) -> int:
    """A stock's size: never taken too large."""
    return int(Fraction(repr(float(millimetres))) * 1000 // 1)


def shapes_of(place: int, part: CutPart) -> list[Shape]:
    """The ways a part may lie, by its grain."""
    length, width = micrometres_up(part.length_mm), micrometres_up(part.width_mm)
    straight = Shape(place, length, width, False)
    turned = Shape(place, width, length, True)
    if part.grain is Grain.LENGTH:
        return [straight]
    if part.grain is Grain.WIDTH:
        return [turned]
    return [straight, turned] if length != width else [straight]


def blank_of(
    place: int,
    stock: StockPiece,
    cost: Fraction,
    parts: Sequence[CutPart],
    rules: CuttingRules,
) -> Blank:
    """What the saw can use of a stock line, with the parts of its species that fit it."""
    is_bar = stock.kind is StockKind.BAR
    along = micrometres_down(stock.length_mm) - 2 * micrometres_up(rules.end_trim_mm)
    across = micrometres_down(stock.width_mm)
    if not is_bar:
        across -= 2 * micrometres_up(rules.edge_trim_mm)
    thickness = micrometres_down(stock.thickness_mm)
    shapes = [
        shape
        for index, part in enumerate(parts)
        if part.species == stock.species and micrometres_up(part.thickness_mm) == thickness
        for shape in shapes_of(index, part)
        if shape.along <= along and _fits_across(shape, across, is_bar)
    ]
    return Blank(place, is_bar, along, across, cost, tuple(shapes))


def pattern_for(
    blank: Blank,
    demand: Sequence[int],
    forced: int,
    rules: CuttingRules,
    dice: random.Random | None = None,
) -> Pattern:
    """A well-filled pattern that holds the forced part; dice vary which strips are tried."""
    left = list(demand)
    across_left = blank.across
    rips: list[Rip] = []
    batch = _candidates(blank, left, across_left, forced, rules, dice)[:1]
    while batch:
        for rip in batch:
            if not _is_at_hand(rip, left):
                continue
            rips.append(rip)
            for shape in rip.shapes:
                left[shape.part] -= 1
            across_left -= rip.across + micrometres_up(rules.kerf_rip_mm)
        if blank.is_bar:
            break
        batch = _rips_across(blank, left, across_left, rules, dice)
    counts = {
        part: demand[part] - left[part] for part in range(len(demand)) if demand[part] > left[part]
    }
    return Pattern(blank, tuple(rips), counts, sum(_area(rip) for rip in rips))


def _fits_across(shape: Shape, across: int, is_bar: bool) -> bool:
    return shape.across == across if is_bar else shape.across <= across


def _area(rip: Rip) -> int:
    return sum(shape.along * shape.across for shape in rip.shapes)


def _is_at_hand(rip: Rip, left: Sequence[int]) -> bool:
    return all(left[part] >= count for part, count in _counts(rip).items())


def _counts(rip: Rip) -> Counter[int]:
    return Counter(shape.part for shape in rip.shapes)


def _rips_across(
    blank: Blank,
    left: Sequence[int],
    across_left: int,
    rules: CuttingRules,
    dice: random.Random | None,
) -> list[Rip]:
    """The well-filled strips that together use up most of the width, the best filled first."""
    rips = _candidates(blank, left, across_left, None, rules, dice)
    if not rips:
        return []
    enough = WELL_FILLED * _area(rips[0]) / rips[0].across
    rips = [rip for rip in rips if _area(rip) / rip.across >= enough]
    kerf = micrometres_up(rules.kerf_rip_mm)
    taken = best_fill(
        across_left + kerf,
        [rip.across + kerf for rip in rips],
        [min(left[part] // count for part, count in _counts(rip).items()) for rip in rips],
    )
    return [rip for rip, count in zip(rips, taken, strict=True) for _ in range(count)]


def _candidates(
    blank: Blank,
    left: Sequence[int],
    across_left: int,
    forced: int | None,
    rules: CuttingRules,
    dice: random.Random | None,
) -> list[Rip]:
    """The best filled strip of each width worth trying, the best filled first."""
    usable = [shape for shape in blank.shapes if left[shape.part] and shape.across <= across_left]
    openers = [shape for shape in usable if forced is None or shape.part == forced]
    rips = [
        max(
            (
                Rip(opener.across, shapes)
                for shapes in _fillings(blank, opener, usable, left, rules)
            ),
            key=_area,
        )
        for opener in _worth_opening(openers, dice)
    ]
    return sorted(rips, key=lambda rip: -_area(rip) / rip.across)


def _worth_opening(openers: Sequence[Shape], dice: random.Random | None) -> list[Shape]:
    """The longest of each of the widest few widths, or of a few drawn ones."""
    longest: dict[int, Shape] = {}
    for shape in openers:
        held = longest.get(shape.across)
        if held is None or shape.along > held.along:
            longest[shape.across] = shape
    widths = sorted(longest, reverse=True)
    if dice and len(widths) > OPENERS:
        widths = dice.sample(widths, OPENERS)
    return [longest[width] for width in widths[:OPENERS]]


def _fillings(
    blank: Blank,
    opener: Shape,
    usable: Sequence[Shape],
    left: Sequence[int],
    rules: CuttingRules,
) -> Iterator[tuple[Shape, ...]]:
    """The opener with parts nearly as wide, and with parts of any width that fits."""
    kerf = micrometres_up(rules.kerf_cross_mm)
    capacity = blank.along - opener.along
    widest: dict[int, Shape] = {}
    for shape in usable:
        held = widest.get(shape.part)
        if shape.across <= opener.across and (held is None or shape.across > held.across):
            widest[shape.part] = shape
    choices = [[shape for shape in widest.values() if shape.across >= NEAR_WIDTH * opener.across]]
    if len(choices[0]) < len(widest):
        choices.append(list(widest.values()))
    for shapes in choices:
        taken = best_fill(
            capacity,
            [shape.along + kerf for shape in shapes],
            [left[shape.part] - (shape.part == opener.part) for shape in shapes],
        )
        yield (
            opener,
            *(shape for shape, count in zip(shapes, taken, strict=True) for _ in range(count)),
        )
