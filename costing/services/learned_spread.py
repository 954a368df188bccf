"""How unsure standard minutes are, where clockings have shown it; the minutes stay the standard's."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from statistics import NormalDist

from costing.models import LabourFit
from orders.core.times import StandardTimes
from orders.models import StandardEdition
from shop.models import Workshop

WIDTH = 2 * NormalDist().inv_cdf(0.9)
"""How many of its spreads an 80 % interval is wide."""
OF_A_BATCH = ("residual", "hand", "hand_operation")
Cell = tuple[str, str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedSpread:
    """The spread of each row of the standard times by joint, operation and method; of an order.

    With nothing learned it is empty, and the standard's own spreads stand.
    """

    cells: Mapping[Cell, float] = field(default_factory=dict)
    order: float | None = None

    @classmethod
    def of(cls, workshop: Workshop, edition: StandardEdition) -> LearnedSpread:
        """What the newest fit says of this edition, in at most two queries.

        A batch is as unsure as clockings scatter, by whichever hand, and as the row is known.
        """
        fit = LabourFit.objects.of(workshop).filter(edition=edition).defer("kept").first()
        if fit is None:
            return cls()
        scatter = sum(fit.spreads.get(name, 0.0) ** 2 for name in OF_A_BATCH)
        return cls(
            cells={
                (cell.joint, cell.operation, cell.method): math.hypot(
                    math.sqrt(scatter), math.log(cell.each_high / cell.each_low) / WIDTH
                )
                for cell in fit.cells.all()
                if 0 < cell.each_low <= cell.each_high
            },
            order=fit.spreads.get("order"),
        )

    def restated(self, times: StandardTimes) -> StandardTimes:
        """The same minutes, as unsure as was learned."""
        if not self.cells:
            return times
        return StandardTimes(
            edition=times.edition,
            rows=tuple(
                replace(
                    row,
                    spread=self.cells.get((row.joint, row.operation, row.method.value), row.spread),
                )
                for row in times.rows
            ),
        )
