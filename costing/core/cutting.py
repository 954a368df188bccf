"""From parts and stock to a cutting plan with a proved bound.

A plan is built pattern by pattern, the hardest part first, and then improved by taking a few
pieces apart and cutting their parts anew. It can be checked by `cutting_check`, which shares no
code with this.
"""

import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from costing.core.cutting_bound import lower_bound
from costing.core.cutting_job import (
    CutPart,
    CutPattern,
    CuttingJob,
    CuttingPlan,
    CuttingRules,
    Grain,
    PlacedPart,
    StockKind,
    StockPiece,
    Strip,
    Unplaced,
)
from costing.core.cutting_pattern import (
    Blank,
    Pattern,
    Rip,
    blank_of,
    micrometres_up,
    pattern_for,
)
from orders.core.errors import RulesBroken

__all__ = [
    "CutPart",
    "CutPattern",
    "CuttingJob",
    "CuttingPlan",
    "CuttingRules",
    "Grain",
    "PlacedPart",
    "StockKind",
    "StockPiece",
    "Strip",
    "Unplaced",
    "plan_cutting",
]

STOCKS_TRIED = 8
PIECES_IMPROVED = 400
OTHERS_RUINED = 4
NOISE = 0.6
BOUND_STEP = Decimal("0.000001")
UM3_PER_M3 = 10**18


@dataclass(slots=True)
class _Bench:
    """The job in whole numbers, and what is left of the stock while planning."""

    rules: CuttingRules
    blanks: tuple[Blank, ...]
    hardness: tuple[tuple[int, ...], ...]
    available: dict[int, int | None]
    pieces: list[Pattern] = field(default_factory=list)

    def has(self, blank: Blank) -> bool:
        """Whether one more of this blank can be opened."""
        left = self.available[blank.place]
        return left is None or left > 0

    def take(self, blank: Blank, copies: int) -> None:
        """Open this many; a negative number puts them back."""
        left = self.available[blank.place]
        if left is not None:
            self.available[blank.place] = left - copies


def plan_cutting(job: CuttingJob) -> CuttingPlan:
    """Cut every part that fits from the cheapest stock that can be found.

    Raises RulesBroken for sizes that cannot be. Parts that fit no stock are listed with a reason,
    never dropped.
    """
    faults = job.faults()
    if faults:
        raise RulesBroken(faults)
    is_priced = all(stock.price is not None for stock in job.stock)
    bench = _bench(job, is_priced)
    demand = [part.quantity for part in job.parts]
    bench.pieces, missing = _first(bench, demand)
    placed = [quantity - missing.get(part, 0) for part, quantity in enumerate(demand)]
    bound = lower_bound(bench.blanks, placed, job.rules)
    _improve(bench, bound, random.Random(job.rules.seed))
    return _plan(job, bench, missing, bound, is_priced)


def _bench(job: CuttingJob, is_priced: bool) -> _Bench:
    blanks = tuple(
        blank_of(place, stock, _cost(stock, is_priced), job.parts, job.rules)
        for place, stock in enumerate(job.stock)
    )
    lengths = tuple(micrometres_up(part.length_mm) for part in job.parts)
    widths = tuple(micrometres_up(part.width_mm) for part in job.parts)
    areas = tuple(length * width for length, width in zip(lengths, widths, strict=True))
    available = {place: stock.quantity for place, stock in enumerate(job.stock)}
    return _Bench(job.rules, blanks, (areas, lengths, widths), available)


def _cost(stock: StockPiece, is_priced: bool) -> Fraction:
    if is_priced and stock.price is not None:
        return Fraction(stock.price)
    area_mm2 = Fraction(repr(float(stock.length_mm))) * Fraction(repr(float(stock.width_mm)))
    return area_mm2 / 1_000_000


def _first(bench: _Bench, wanted: Sequence[int]) -> tuple[list[Pattern], dict[int, int]]:
    """The best of the plans that begin with the largest, the longest and the widest parts."""
    held = dict(bench.available)
    plans = []
    for hardness in bench.hardness:
        pieces, missing = _cut(bench, wanted, hardness)
        plans.append((sum(missing.values()), *_merit(pieces), pieces, missing))
        bench.available = dict(held)
    _, _, _, pieces, missing = min(plans, key=lambda plan: plan[:3])
    for piece in pieces:
        bench.take(piece.blank, 1)
    return pieces, missing


def _cut(
    bench: _Bench,
    wanted: Sequence[int],
    hardness: Sequence[float],
    dice: random.Random | None = None,
) -> tuple[list[Pattern], dict[int, int]]:
    """Patterns, one for each piece of stock, that hold what is wanted, and what they do not.

    Dice, where given, vary the patterns.
    """
    demand = list(wanted)
    pieces: list[Pattern] = []
    missing: dict[int, int] = {}
    while any(demand):
        hardest = max(
            (part for part, count in enumerate(demand) if count), key=hardness.__getitem__
        )
        pattern = _best_pattern(bench, demand, hardest, dice)
        if pattern is None:
            missing[hardest] = demand[hardest]
            demand[hardest] = 0
            continue
        copies = min(demand[part] // count for part, count in pattern.counts.items())
        left = bench.available[pattern.blank.place]
        copies = copies if left is None else min(copies, left)
        bench.take(pattern.blank, copies)
        pieces += [pattern] * copies
        for part, count in pattern.counts.items():
            demand[part] -= count * copies
    return pieces, missing


def _best_pattern(
    bench: _Bench, demand: Sequence[int], hardest: int, dice: random.Random | None
) -> Pattern | None:
    """The pattern that costs least for the area it yields, over the stock that fits."""
    blanks = [
        blank
        for blank in bench.blanks
        if bench.has(blank) and any(shape.part == hardest for shape in blank.shapes)
    ]
    if len(blanks) > STOCKS_TRIED:
        blanks.sort(key=lambda blank: (blank.cost, blank.place))
        every = len(blanks) / STOCKS_TRIED
        blanks = (
            dice.sample(blanks, STOCKS_TRIED)
            if dice
            else [blanks[int(step * every)] for step in range(STOCKS_TRIED)]
        )
    patterns = (pattern_for(blank, demand, hardest, bench.rules, dice) for blank in blanks)
    return min(
        patterns,
        key=lambda pattern: (pattern.blank.cost / pattern.value, -pattern.value),
        default=None,
    )


def _improve(bench: _Bench, bound: Fraction, dice: random.Random) -> None:
    """Take a few pieces apart and cut their parts anew, for as long as the effort lasts."""
    if not 1 < len(bench.pieces) <= PIECES_IMPROVED:
        return
    cost = sum((piece.blank.cost for piece in bench.pieces), Fraction(0))
    for _ in range(bench.rules.effort):
        if cost <= bound:
            return
        ruined = _ruined(bench.pieces, dice)
        old = [bench.pieces[place] for place in ruined]
        wanted = [0] * len(bench.hardness[0])
        for piece in old:
            bench.take(piece.blank, -1)
            for part, count in piece.counts.items():
                wanted[part] += count
        hardness = [size * (1 - NOISE * dice.random()) for size in dice.choice(bench.hardness)]
        new, missing = _cut(bench, wanted, hardness, dice)
        if not missing and _merit(new) <= _merit(old):
            kept = [piece for place, piece in enumerate(bench.pieces) if place not in ruined]
            bench.pieces = kept + new
            cost = sum((piece.blank.cost for piece in bench.pieces), Fraction(0))
        else:
            for piece in new:
                bench.take(piece.blank, -1)
            for piece in old:
                bench.take(piece.blank, 1)


def _ruined(pieces: Sequence[Pattern], dice: random.Random) -> set[int]:
    """One of the emptier pieces and up to four others."""
    drawn = dice.sample(range(len(pieces)), min(3, len(pieces)))
    emptiest = min(drawn, key=lambda place: pieces[place].value)
    others = dice.sample(range(len(pieces)), min(dice.randint(1, OTHERS_RUINED), len(pieces)))
    return {emptiest, *others}


def _merit(pieces: Sequence[Pattern]) -> tuple[Fraction, int]:
    """Less is better: the cost, then fewer half-empty pieces."""
    cost = sum((piece.blank.cost for piece in pieces), Fraction(0))
    return cost, -sum(piece.value**2 for piece in pieces)


def _plan(
    job: CuttingJob,
    bench: _Bench,
    missing: dict[int, int],
    bound: Fraction,
    is_priced: bool,
) -> CuttingPlan:
    copies: dict[tuple[int, tuple[Rip, ...]], int] = {}
    for piece in bench.pieces:
        key = (piece.blank.place, piece.rips)
        copies[key] = copies.get(key, 0) + 1
    firsts = {(piece.blank.place, piece.rips): piece for piece in bench.pieces}
    cost = sum((piece.blank.cost for piece in bench.pieces), Fraction(0))
    placed = [part.quantity - missing.get(place, 0) for place, part in enumerate(job.parts)]
    return CuttingPlan(
        patterns=tuple(_in_place(job, firsts[key], count) for key, count in copies.items()),
        unplaced=tuple(
            Unplaced(part=job.parts[part].key, quantity=count, reason=_reason(job, bench, part))
            for part, count in missing.items()
        ),
        objective="price" if is_priced else "area",
        cost=_decimal(cost),
        lower_bound=_decimal(bound).quantize(BOUND_STEP, rounding="ROUND_FLOOR"),
        stock_m3=sum(_m3(job.stock[piece.blank.place]) for piece in bench.pieces),
        parts_m3=sum(_m3(part) * count for part, count in zip(job.parts, placed, strict=True)),
    )


def _in_place(job: CuttingJob, pattern: Pattern, copies: int) -> CutPattern:
    rules = job.rules
    kerf_cross, kerf_rip = micrometres_up(rules.kerf_cross_mm), micrometres_up(rules.kerf_rip_mm)
    y = 0 if pattern.blank.is_bar else micrometres_up(rules.edge_trim_mm)
    strips = []
    for rip in pattern.rips:
        x = micrometres_up(rules.end_trim_mm)
        placed = []
        for shape in rip.shapes:
            placed.append(
                PlacedPart(
                    part=job.parts[shape.part].key,
                    x_um=x,
                    y_um=y,
                    length_um=shape.along,
                    width_um=shape.across,
                    is_turned=shape.is_turned,
                )
            )
            x += shape.along + kerf_cross
        strips.append(Strip(y_um=y, width_um=rip.across, parts=tuple(placed)))
        y += rip.across + kerf_rip
    stock = job.stock[pattern.blank.place]
    return CutPattern(stock=stock.key, copies=copies, strips=tuple(strips))


def _reason(job: CuttingJob, bench: _Bench, place: int) -> str:
    part = job.parts[place]
    if any(shape.part == place for blank in bench.blanks for shape in blank.shapes):
        return f"The stock ran out before {part.label} was cut; add more of it."
    same = [stock for stock in job.stock if stock.species == part.species]
    if not same:
        return f"There is no {part.species} to cut {part.label} from; add some."
    alike = [stock for stock in same if stock.thickness_mm == part.thickness_mm]
    if not alike:
        return (
            f"There is no {part.species} of {part.thickness_mm:g} mm to cut {part.label} from; "
            "add some, or saw it from thicker stock."
        )
    longest = max(stock.length_mm for stock in alike)
    if part.grain is not Grain.WIDTH and part.length_mm > longest - 2 * job.rules.end_trim_mm:
        return (
            f"{part.label} is {part.length_mm:g} mm long and the longest stock {longest:g} mm, "
            "trims included; add longer stock."
        )
    return (
        f"{part.label} does not fit the width of any stock, trims included; add wider stock, or "
        "glue it up from narrower parts."
    )


def _m3(item: CutPart | StockPiece) -> float:
    return item.length_mm * item.width_mm * item.thickness_mm / 1e9


def _decimal(amount: Fraction) -> Decimal:
    return Decimal(amount.numerator) / Decimal(amount.denominator)
