"""An independent checker of cutting plans: it knows the rules, and nothing of how plans are made."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from costing.core.cutting_job import (
    CutPart,
    CutPattern,
    CuttingJob,
    CuttingPlan,
    PlacedPart,
    StockPiece,
    Strip,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Violation:
    """A rule that a plan breaks, and where."""

    rule: str
    message: str


def check_cutting(plan: CuttingPlan, job: CuttingJob) -> tuple[Violation, ...]:
    """Everything that is wrong with a plan for this job; nothing, if it can be cut."""
    return (
        *_quantities(plan, job),
        *_stock_used(plan, job),
        *_money(plan, job),
        *(fault for pattern in plan.patterns for fault in _pattern(pattern, job)),
    )


def _wrong(rule: str, message: str) -> Violation:
    return Violation(rule=rule, message=message)


def _part_um(millimetres: float) -> int:
    return int((Decimal(str(millimetres)) * 1000).to_integral_value(ROUND_CEILING))


def _stock_um(millimetres: float) -> int:
    return int((Decimal(str(millimetres)) * 1000).to_integral_value(ROUND_FLOOR))


def _quantities(plan: CuttingPlan, job: CuttingJob) -> Iterator[Violation]:
    found: Counter[str] = Counter()
    for pattern in plan.patterns:
        for strip in pattern.strips:
            for placed in strip.parts:
                found[placed.part] += pattern.copies
    for gone in plan.unplaced:
        found[gone.part] += gone.quantity
        if gone.quantity < 1 or not gone.reason:
            yield _wrong("unplaced", f"{gone.part} is left out without a reason or a number.")
    wanted = {part.key: part.quantity for part in job.parts}
    for key in sorted(wanted.keys() | found.keys()):
        if found[key] != wanted.get(key, 0):
            yield _wrong("quantity", f"{key}: {found[key]} of {wanted.get(key, 0)} accounted for.")


def _stock_used(plan: CuttingPlan, job: CuttingJob) -> Iterator[Violation]:
    held = {stock.key: stock.quantity for stock in job.stock}
    opened: Counter[str] = Counter()
    for pattern in plan.patterns:
        opened[pattern.stock] += pattern.copies
        if pattern.copies < 1:
            yield _wrong("stock", f"A pattern of {pattern.stock} is cut {pattern.copies} times.")
    for key, count in opened.items():
        if key not in held:
            yield _wrong("stock", f"{key} is not in the rack.")
            continue
        limit = held[key]
        if limit is not None and count > limit:
            yield _wrong("stock", f"{count} of {key} are opened and there are {limit}.")


def _money(plan: CuttingPlan, job: CuttingJob) -> Iterator[Violation]:
    by_key = {stock.key: stock for stock in job.stock}
    prices = [stock.price for stock in job.stock]
    total = Decimal(0)
    volume = 0.0
    for pattern in plan.patterns:
        stock = by_key.get(pattern.stock)
        if stock is None:
            return
        area = Decimal(str(stock.length_mm)) * Decimal(str(stock.width_mm)) / 1_000_000
        price = stock.price if None not in prices and stock.price is not None else area
        total += price * pattern.copies
        volume += stock.length_mm * stock.width_mm * stock.thickness_mm * pattern.copies / 1e9
    if abs(total - plan.cost) > Decimal("1e-12") * max(Decimal(1), total):
        yield _wrong("cost", f"The stock comes to {total}, the plan says {plan.cost}.")
    if plan.lower_bound > plan.cost:
        yield _wrong("bound", f"The bound {plan.lower_bound} is above the cost {plan.cost}.")
    if abs(volume - plan.stock_m3) > 1e-9 * max(1.0, volume):
        yield _wrong("volume", f"The stock is {volume} m3, the plan says {plan.stock_m3}.")


def _pattern(pattern: CutPattern, job: CuttingJob) -> Iterator[Violation]:
    stock = next((each for each in job.stock if each.key == pattern.stock), None)
    if stock is None:
        return
    yield from _strips(pattern, stock, job)
    parts = {part.key: part for part in job.parts}
    for strip in pattern.strips:
        yield from _crosscuts(strip, stock, job)
        for placed in strip.parts:
            part = parts.get(placed.part)
            if part is None:
                yield _wrong("part", f"{placed.part} is not in the job.")
                continue
            yield from _placed(placed, part, strip, stock)


def _strips(pattern: CutPattern, stock: StockPiece, job: CuttingJob) -> Iterator[Violation]:
    width = _stock_um(stock.width_mm)
    if stock.kind == "bar":
        if [(strip.y_um, strip.width_um) for strip in pattern.strips] != [(0, width)]:
            yield _wrong("rip", f"{stock.key} is a bar and is not ripped.")
        return
    trim, kerf = _part_um(job.rules.edge_trim_mm), _part_um(job.rules.kerf_rip_mm)
    edge = trim
    for strip in sorted(pattern.strips, key=lambda strip: strip.y_um):
        if strip.y_um < edge:
            yield _wrong("rip kerf", f"A strip of {stock.key} begins at {strip.y_um}, not {edge}.")
        if strip.width_um <= 0 or strip.y_um + strip.width_um > width - trim:
            yield _wrong("width", f"A strip of {stock.key} lies beyond its usable width.")
        edge = strip.y_um + strip.width_um + kerf
    if not pattern.strips:
        yield _wrong("rip", f"{stock.key} is opened and nothing is cut from it.")


def _crosscuts(strip: Strip, stock: StockPiece, job: CuttingJob) -> Iterator[Violation]:
    trim, kerf = _part_um(job.rules.end_trim_mm), _part_um(job.rules.kerf_cross_mm)
    end = trim
    for placed in sorted(strip.parts, key=lambda placed: placed.x_um):
        if placed.x_um < end:
            yield _wrong("cross kerf", f"{placed.part} begins at {placed.x_um}, not {end}.")
        if placed.x_um + placed.length_um > _stock_um(stock.length_mm) - trim:
            yield _wrong("length", f"{placed.part} lies beyond the usable length of {stock.key}.")
        end = placed.x_um + placed.length_um + kerf


def _placed(
    placed: PlacedPart, part: CutPart, strip: Strip, stock: StockPiece
) -> Iterator[Violation]:
    size = (_part_um(part.length_mm), _part_um(part.width_mm))
    if (placed.length_um, placed.width_um) != (size[::-1] if placed.is_turned else size):
        yield _wrong("size", f"{part.key} is cut {placed.length_um} x {placed.width_um}.")
    if (part.grain == "length" and placed.is_turned) or (
        part.grain == "width" and not placed.is_turned
    ):
        yield _wrong("grain", f"{part.key} lies with its grain the wrong way.")
    if part.species != stock.species:
        yield _wrong("species", f"{part.key} is {part.species} and lies in {stock.species}.")
    if _part_um(part.thickness_mm) != _stock_um(stock.thickness_mm):
        yield _wrong("thickness", f"{part.key} lies in stock of another thickness.")
    inside = strip.y_um <= placed.y_um
    if not inside or placed.y_um + placed.width_um > strip.y_um + strip.width_um:
        yield _wrong("strip", f"{part.key} lies across the edge of its strip.")
    if stock.kind == "bar" and placed.width_um != strip.width_um:
        yield _wrong("section", f"{part.key} has another width than bar {stock.key}.")
