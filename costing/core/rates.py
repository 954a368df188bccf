"""The rate book: what an hour, a machine, the roof and the risk cost."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from costing.core.breakdown import Handled
from costing.core.money import ZERO
from orders.core.errors import RuleBroken


class OverheadBasis(StrEnum):
    """What shop overhead is charged on."""

    LABOUR_HOUR = "labour-hour"
    MACHINE_HOUR = "machine-hour"
    LABOUR_COST = "labour-cost"
    DEPARTMENT = "department"


class ProfitBasis(StrEnum):
    """What the profit share is a share of: the price (margin) or the cost (markup)."""

    MARGIN = "margin"
    MARKUP = "markup"


@dataclass(frozen=True, slots=True, kw_only=True)
class Overhead:
    """Shop overhead: an amount per hour, or a share of labour cost (0.5 for 50 %).

    By department it is an amount per labour hour of each skill, in `departments`; a skill that is
    not named there bears `rate`.
    """

    basis: OverheadBasis = OverheadBasis.LABOUR_HOUR
    rate: Decimal = ZERO
    departments: Mapping[str, Decimal] = field(default_factory=dict)

    def per_hour(self, skill: str) -> Decimal:
        """What a labour hour of a skill bears where overhead is by department."""
        return self.departments.get(skill, self.rate)


@dataclass(frozen=True, slots=True, kw_only=True)
class Profit:
    """The profit asked for, as a share of the price (margin) or of the cost (markup)."""

    basis: ProfitBasis = ProfitBasis.MARGIN
    share: Decimal = ZERO

    def faults(self) -> list[RuleBroken]:
        """What is wrong with the share."""
        if not _is_amount(self.share):
            return [RuleBroken("share", "Profit must be 0 or more.")]
        if self.basis is ProfitBasis.MARGIN and self.share >= 1:
            return [RuleBroken("share", WHOLE_MARGIN)]
        return []

    @property
    def markup(self) -> Decimal:
        """Profit over cost."""
        return markup_of(self.share) if self.basis is ProfitBasis.MARGIN else self.share

    @property
    def margin(self) -> Decimal:
        """Profit over price."""
        return self.share if self.basis is ProfitBasis.MARGIN else margin_of(self.share)


@dataclass(frozen=True, slots=True, kw_only=True)
class RateBook:
    """One edition of a workshop's rates.

    `labour` is money per hour by skill, `machine` money per hour by kind of station. Shares are
    fractions (0.05 for 5 %); `tax_rate` is in per cent (20 for 20 %), as it is printed.
    `rounding` is the step that the offered net price is rounded to, 0 for none.
    """

    edition: int
    currency: str
    labour: Mapping[str, Decimal]
    machine: Mapping[str, Decimal] = field(default_factory=dict)
    overhead: Overhead = Overhead()
    materials_handling: Decimal = ZERO
    outwork_handling: Decimal = ZERO
    delivery_handling: Decimal = ZERO
    contingency: Decimal = ZERO
    profit: Profit = Profit()
    tax_rate: Decimal = ZERO
    rounding: Decimal = ZERO

    def handling_of(self, what: Handled) -> Decimal:
        """The share that is charged for handling."""
        shares = {
            Handled.MATERIALS: self.materials_handling,
            Handled.OUTWORK: self.outwork_handling,
            Handled.DELIVERY: self.delivery_handling,
        }
        return shares[what]

    def faults(self) -> list[RuleBroken]:
        """What is wrong with these figures."""
        faults = [
            RuleBroken(f"{table}/{name}", f"The hourly rate for {name} must be 0 or more.")
            for table, rates in (
                ("labour", self.labour),
                ("machine", self.machine),
                ("overhead/departments", self.overhead.departments),
            )
            for name, rate in rates.items()
            if not _is_amount(rate)
        ]
        amounts = {
            "overhead/rate": (self.overhead.rate, "Overhead"),
            "materials_handling": (self.materials_handling, "Handling of materials"),
            "outwork_handling": (self.outwork_handling, "Handling of outwork"),
            "delivery_handling": (self.delivery_handling, "Handling of delivery"),
            "contingency": (self.contingency, "Contingency"),
            "tax_rate": (self.tax_rate, "Tax"),
            "rounding": (self.rounding, "The step that prices are rounded to"),
        }
        faults += [
            RuleBroken(place, f"{noun} must be 0 or more.")
            for place, (amount, noun) in amounts.items()
            if not _is_amount(amount)
        ]
        return faults + [fault.under("profit") for fault in self.profit.faults()]


WHOLE_MARGIN = (
    "A margin is a share of the price and stays under 100 %: no price has a margin of 100 % or "
    "more. Give a smaller margin, or a markup on cost."
)


def overhead_rate(overhead: Decimal, base: Decimal) -> Decimal:
    """A year's overhead over the hours or the labour cost that are to carry it."""
    if base <= 0:
        raise RuleBroken("base", "Overhead needs hours or labour to be charged on: more than 0.")
    return overhead / base


def margin_of(markup: Decimal) -> Decimal:
    """Profit over price, from profit over cost: 0.70 gives 0.4118."""
    if markup <= -1:
        raise RuleBroken("profit/share", "A markup is more than -100 %.")
    return markup / (1 + markup)


def markup_of(margin: Decimal) -> Decimal:
    """Profit over cost, from profit over price; raises RuleBroken from a margin of 100 %."""
    if margin >= 1:
        raise RuleBroken("profit/share", WHOLE_MARGIN)
    return margin / (1 - margin)


def break_even_units(
    fixed: Decimal, price: Decimal, variable: Decimal, profit: Decimal = ZERO
) -> Decimal:
    """Pieces to sell to cover the fixed costs and earn a profit."""
    if price <= variable:
        raise RuleBroken("price", "The price of a piece must be above what the piece itself costs.")
    return (fixed + profit) / (price - variable)


def _is_amount(amount: Decimal) -> bool:
    return amount.is_finite() and amount >= 0
