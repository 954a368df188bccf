"""What an order was quoted at, what it cost, and why the two differ, kind by kind.

Above zero is unfavourable. The price part is what rates and prices did, the usage part what hours
and quantities did; in what is printed, the two add up to the difference to the cent.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from costing.core.money import ZERO, rounded
from costing.core.variance import labour_variance, material_variance

HOUR_S = 3600
FINE = Decimal("0.000001")


class CostKind(StrEnum):
    """What money goes into."""

    LABOUR = "labour"
    MACHINE = "machine"
    TIMBER = "timber"
    GLUE = "glue"
    SUNDRIES = "sundries"
    FINISH = "finish"
    OUTWORK = "outwork"
    DELIVERY = "delivery"
    OVERHEAD = "overhead"


CHARGED = tuple(
    kind for kind in CostKind if kind not in (CostKind.LABOUR, CostKind.MACHINE, CostKind.OVERHEAD)
)
"""Kinds that are issued or bought; the others follow from the hours clocked."""


def kind_of_line(key: str) -> CostKind | None:
    """The kind that a line of an estimate belongs to: handling is overhead, reserve is no cost."""
    if key.startswith("handling"):
        return CostKind.OVERHEAD
    return CostKind(key) if key in set(CostKind) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """Seconds clocked under one pair of rates, quoted and actual, in money per hour."""

    kind: CostKind
    seconds: int
    quoted_rate: Decimal
    actual_rate: Decimal

    @property
    def hours(self) -> Decimal:
        """The hours, to a millionth."""
        return (Decimal(self.seconds) / HOUR_S).quantize(FINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """What was issued to an order or bought for it; below 0 what came back."""

    kind: CostKind
    quantity: Decimal
    quoted_price: Decimal
    actual_price: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class CostLine:
    """One kind of cost. `price + usage == actual - quoted`, exactly."""

    kind: CostKind
    quoted: Decimal
    actual: Decimal
    price: Decimal

    @property
    def difference(self) -> Decimal:
        """What it cost beyond what was quoted."""
        return self.actual - self.quoted

    @property
    def usage(self) -> Decimal:
        """What hours or quantities did."""
        return self.difference - self.price


def cost_lines(
    quoted: Mapping[CostKind, Decimal],
    hours: Sequence[Hours],
    charges: Sequence[Charge],
    currency: str,
) -> tuple[CostLine, ...]:
    """A line for each kind that was quoted or spent, in the order of the kinds."""
    found = []
    for kind in CostKind:
        mine = [one for one in hours if one.kind is kind]
        bought = [one for one in charges if one.kind is kind]
        if kind not in quoted and not mine and not bought:
            continue
        actual, price = _hours(mine)
        spent, dearer = _charges(bought)
        found.append(
            CostLine(
                kind=kind,
                quoted=rounded(quoted.get(kind, ZERO), currency),
                actual=rounded(actual + spent, currency),
                price=rounded(price + dearer, currency),
            )
        )
    return tuple(found)


def total_of(lines: Iterable[CostLine]) -> tuple[Decimal, Decimal]:
    """Quoted and actual cost of all lines."""
    every = tuple(lines)
    return sum((one.quoted for one in every), ZERO), sum((one.actual for one in every), ZERO)


def _hours(some: Iterable[Hours]) -> tuple[Decimal, Decimal]:
    """What hours cost, and the rate variance in it."""
    actual = price = ZERO
    for one in some:
        actual += one.hours * one.actual_rate
        price += labour_variance(
            actual_hours=one.hours,
            actual_rate=one.actual_rate,
            standard_hours=one.hours,
            standard_rate=one.quoted_rate,
        ).rate
    return actual, price


def _charges(some: Iterable[Charge]) -> tuple[Decimal, Decimal]:
    """What charges cost, and the price variance in it: all that is bought is used here."""
    actual = price = ZERO
    for one in some:
        actual += one.quantity * one.actual_price
        price += material_variance(
            bought=one.quantity,
            actual_price=one.actual_price,
            used=one.quantity,
            standard_quantity=one.quantity,
            standard_price=one.quoted_price,
        ).price
    return actual, price
