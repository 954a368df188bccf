"""What is believed of a shop's times before its first clocking."""

from dataclasses import dataclass

from orders.core.errors import RuleBroken

GROUPS = ("setup", "operation", "joint", "cell", "hand", "hand_operation", "change")
"""Families of effects, each drawn towards 0 by its own spread; that of orders stands apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Priors:
    """Spreads of the logarithm of minutes about their standards, and how firmly they are held.

    The standards in force are the centre of it all: with no clockings nothing moves. `all_work` is
    the spread of one shift common to all work; `hardness`, `size` and `batch` those of the powers
    that correct what the standards make of hardness, of size and of the number in a batch; `trend`
    is what all work gains or loses in a year.
    `group_weight` and `residual_weight` say how many effects or clockings a prior is worth.
    Common practice, no source; see the benchmark for what they do on shops of known truth.
    """

    all_work: float = 0.20
    hardness: float = 0.20
    size: float = 0.15
    trend: float = 0.10
    batch: float = 0.06
    setup: float = 0.40
    operation: float = 0.20
    joint: float = 0.25
    cell: float = 0.20
    hand: float = 0.15
    hand_operation: float = 0.08
    change: float = 0.50
    order: float = 0.11
    residual: float = 0.30
    error_share: float = 0.05
    group_weight: float = 10.0
    residual_weight: float = 40.0
    half_life_days: float = 365.0

    def faults(self) -> list[RuleBroken]:
        """Every figure that cannot be."""
        return [
            RuleBroken(name, "This figure must be more than 0 and at most 10,000.")
            for name in self.__dataclass_fields__
            if not 0 < getattr(self, name) <= 10_000
        ]

    def spread_of(self, group: str) -> float:
        """The prior spread of a family of effects."""
        spread: float = getattr(self, group)
        return spread
