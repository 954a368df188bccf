"""The hours of an order that is not released yet, as the clockings would foretell them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from costing.core.distribution import Distribution
from costing.core.labour import PlannedBatch, hours_of, unpacked
from costing.models import LabourFit
from costing.services.clocked import REFERENCE_SECTION_MM, Cells, row_of, rows_by_cell
from costing.services.learning import fit_of
from orders.core.species import REFERENCE_HARDNESS_N, species
from orders.core.times import TimedOperation
from orders.models import Commission
from orders.services.breakdown import AssemblyLine, JointLine, breakdown
from orders.services.standards import times_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Foretelling:
    """The hours, and the fit that foretells them."""

    hours: Distribution
    fit: LabourFit


def foretold_hours(commission: Commission) -> Foretelling | None:
    """The hours of the whole commission; None where nothing was learned yet.

    Work whose minutes a person gave counts at those. Raises NotReady as a breakdown does.
    """
    fit = fit_of(commission.workshop)
    learned = unpacked(bytes(fit.kept)) if fit else None
    if fit is None or learned is None:
        return None
    times = times_of(fit.edition)
    rows = rows_by_cell(times)
    lines = breakdown(commission, times)
    batches = [batch for line in lines.assemblies for batch in _batches(line, rows)]
    return Foretelling(hours=hours_of(learned, batches), fit=fit)


def _batches(line: AssemblyLine, rows: Cells) -> Iterator[PlannedBatch]:
    sections = {part.id: (part.width_mm, part.thickness_mm) for part in line.parts}
    for joint in line.joints:
        sides = [side for part in (joint.part_a, joint.part_b) for side in sections.get(part, ())]
        for operation in joint.operations:
            yield _batch(operation, rows, joint, sides)
    for extra in line.extras:
        yield _batch(extra.timed, rows)


def _batch(
    timed: TimedOperation,
    rows: Cells,
    joint: JointLine | None = None,
    sides: list[float] | None = None,
) -> PlannedBatch:
    row = row_of(rows, timed.joint, timed.code, timed.method.value)
    is_cut = joint is not None and (row is None or row.cuts_wood)
    hardness = species(joint.species).hardness_n if joint and is_cut else REFERENCE_HARDNESS_N
    size = REFERENCE_SECTION_MM
    if sides and len(sides) == 4:
        size = (sides[0] * sides[1] * sides[2] * sides[3]) ** 0.25
    return PlannedBatch(
        joint=timed.joint,
        operation=timed.code,
        method=row.method.value if row else timed.method.value,
        each_min=timed.each_min,
        setup_min=timed.setup_min if timed.count else 0.0,
        pieces=max(1, round(timed.count)),
        hardness_ratio=hardness / REFERENCE_HARDNESS_N,
        size_ratio=size / REFERENCE_SECTION_MM,
    )
