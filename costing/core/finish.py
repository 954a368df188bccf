"""Another finish, supposed: what it costs in place of the finish that a commission has."""

from dataclasses import dataclass, replace
from decimal import Decimal

from costing.core.breakdown import EstimateInput, ExtraKind, ExtraLine
from orders.core.errors import RuleBroken

LONGEST_LABEL = 120
LARGEST = Decimal(10) ** 7


@dataclass(frozen=True, slots=True, kw_only=True)
class SupposedFinish:
    """A finish by its name, and its net cost for the whole commission made once."""

    label: str
    net: Decimal

    def faults(self) -> list[RuleBroken]:
        """What cannot be supposed."""
        faults = []
        if not self.label.strip() or len(self.label) > LONGEST_LABEL:
            faults.append(
                RuleBroken("label", f"Name the finish, in at most {LONGEST_LABEL} letters.")
            )
        if not (self.net.is_finite() and 0 <= self.net <= LARGEST):
            faults.append(RuleBroken("net", "Give what the finish costs, 0 or more."))
        return faults


def finished_with(
    commission: EstimateInput, finish: SupposedFinish, times_over: int
) -> EstimateInput:
    """The commission with this finish in place of every line of finish; its work stays."""
    others = tuple(line for line in commission.extras if line.kind is not ExtraKind.FINISH)
    line = ExtraLine(
        key="supposed-finish",
        label=finish.label,
        kind=ExtraKind.FINISH,
        unit_price=finish.net,
        quantity=Decimal(times_over),
    )
    return replace(commission, extras=(*others, line))
