"""Why a cost came out as it did: price and quantity, rate and efficiency, spending and volume.

Above zero is unfavourable throughout. The two variances of a pair add up to the difference
exactly.

Source: Heisinger & Hoyle, Accounting for Managers, sections 10.2 to 10.8.
"""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourVariance:
    """Actual against standard labour: what the rate did, and what the hours did."""

    rate: Decimal
    efficiency: Decimal

    @property
    def total(self) -> Decimal:
        """Actual cost less standard cost."""
        return self.rate + self.efficiency


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialVariance:
    """Actual against standard material: the price of what was bought, the use of what was used."""

    price: Decimal
    usage: Decimal

    @property
    def total(self) -> Decimal:
        """Both together; with nothing put into stock, actual cost less standard cost."""
        return self.price + self.usage


@dataclass(frozen=True, slots=True, kw_only=True)
class VariableOverheadVariance:
    """Actual against standard variable overhead, which follows the hours."""

    spending: Decimal
    efficiency: Decimal

    @property
    def total(self) -> Decimal:
        """Actual overhead less standard overhead."""
        return self.spending + self.efficiency


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedOverheadVariance:
    """Actual fixed overhead against its budget, and the budget against what the work carried."""

    spending: Decimal
    volume: Decimal

    @property
    def total(self) -> Decimal:
        """Actual overhead less overhead applied."""
        return self.spending + self.volume


def labour_variance(
    *, actual_hours: Decimal, actual_rate: Decimal, standard_hours: Decimal, standard_rate: Decimal
) -> LabourVariance:
    """The rate variance at the actual hours and the efficiency variance at the standard rate."""
    return LabourVariance(
        rate=(actual_rate - standard_rate) * actual_hours,
        efficiency=(actual_hours - standard_hours) * standard_rate,
    )


def material_variance(
    *,
    bought: Decimal,
    actual_price: Decimal,
    used: Decimal,
    standard_quantity: Decimal,
    standard_price: Decimal,
) -> MaterialVariance:
    """The price variance on what was bought and the usage variance on what was used."""
    return MaterialVariance(
        price=(actual_price - standard_price) * bought,
        usage=(used - standard_quantity) * standard_price,
    )


def variable_overhead_variance(
    *, actual: Decimal, actual_hours: Decimal, standard_hours: Decimal, standard_rate: Decimal
) -> VariableOverheadVariance:
    """Spending against the actual hours, and efficiency as the hours went."""
    return VariableOverheadVariance(
        spending=actual - actual_hours * standard_rate,
        efficiency=(actual_hours - standard_hours) * standard_rate,
    )


def fixed_overhead_variance(
    *, actual: Decimal, budget: Decimal, applied: Decimal
) -> FixedOverheadVariance:
    """Spending against the budget, and the budget against what was applied to the work."""
    return FixedOverheadVariance(spending=actual - budget, volume=budget - applied)


def is_worth_a_look(
    variance: Decimal, flexible_budget: Decimal, share: Decimal = Decimal("0.10")
) -> bool:
    """Whether a variance, either way, is at least this share of its flexible budget."""
    return abs(variance) >= abs(flexible_budget) * share
