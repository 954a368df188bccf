"""Money: minor units, rounding, allocation, and tax once per rate.

Amounts are `Decimal`. A figure is rounded once, where it is printed, and what is printed adds up.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from functools import cache
from types import MappingProxyType

from costing.core.tables import rows_of
from orders.core.errors import RuleBroken

ZERO = Decimal(0)
HUNDRED = Decimal(100)
LARGEST_EXPONENT = 15  # amounts to 10^16 leave room for twelve decimals in 28 digits


@dataclass(frozen=True, slots=True, kw_only=True)
class Currency:
    """A currency and how finely it is paid.

    Source: ISO 4217 List One.
    """

    code: str
    name: str
    minor_units: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxedAmount:
    """One net amount, the rate its tax is charged at (20 for 20 %) and its tax category.

    `category` is the letter of UN/CEFACT 5305, as EN 16931 uses it: S standard, Z zero, E exempt.
    """

    amount: Decimal
    rate: Decimal
    category: str = "S"


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxGroup:
    """All amounts of one rate, and the tax on their sum."""

    category: str
    rate: Decimal
    taxable: Decimal
    tax: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentTotals:
    """What stands at the foot of a quotation or an invoice.

    Source: EN 16931-1, business terms BT-106 to BT-115.
    """

    lines: Decimal
    allowances: Decimal
    charges: Decimal
    net: Decimal
    taxes: tuple[TaxGroup, ...]
    tax: Decimal
    gross: Decimal
    prepaid: Decimal
    rounding: Decimal
    due: Decimal


@cache
def currencies() -> Mapping[str, Currency]:
    """Every currency of ISO 4217 that has a number of minor units, by its code."""
    return MappingProxyType(
        {
            row["code"]: Currency(
                code=row["code"], name=row["name"], minor_units=int(row["minor_units"])
            )
            for row in rows_of("currencies")
        }
    )


def currency_of(code: str) -> Currency:
    """The currency with this ISO 4217 code; raises RuleBroken if there is none."""
    try:
        return currencies()[code]
    except KeyError:
        raise RuleBroken(
            "currency", f"{code!r} is not a currency; give its three ISO 4217 letters, as in EUR."
        ) from None


def plain(value: Decimal) -> str:
    """A number without idle zeros."""
    return f"{value.normalize() + ZERO:f}"


@cache
def smallest_amount(currency: str) -> Decimal:
    """The least amount that can be paid: 0.01 for EUR, 1 for JPY, 0.001 for KWD."""
    return Decimal(1).scaleb(-currency_of(currency).minor_units)


def rounded(amount: Decimal, currency: str) -> Decimal:
    """The amount to its minor units, a half going away from zero.

    Source: EN 16931-1, 6.5.2, and ISO 4217.
    """
    unit = smallest_amount(currency)
    if not amount.is_finite() or amount.adjusted() > LARGEST_EXPONENT:
        raise RuleBroken("amount", f"{amount} is too large for an amount, or not a number.")
    return amount.quantize(unit, rounding=ROUND_HALF_UP) + ZERO


def rounded_to(amount: Decimal, step: Decimal, currency: str) -> Decimal:
    """The amount to the nearest whole step (5.00, say), a half going away from zero.

    A step of zero asks for the minor units alone.
    """
    if step < 0:
        raise RuleBroken("rounding", "A price is rounded to a positive step, or to 0 for none.")
    if not step:
        return rounded(amount, currency)
    return rounded((amount / step).quantize(Decimal(1), rounding=ROUND_HALF_UP) * step, currency)


def shares_of(total: Decimal, exact: Sequence[Decimal], currency: str) -> tuple[Decimal, ...]:
    """The exact amounts as printed ones that add up to the printed total.

    Each is rounded down to its minor units and what is left goes one unit at a time to the
    largest remainders, ties to the earlier. Amounts may be negative. As long as `total` is the
    sum of the exact amounts rounded either way, each printed amount is its exact one rounded
    either way.
    """
    unit = smallest_amount(currency)
    floors = [amount.quantize(unit, rounding=ROUND_FLOOR) + ZERO for amount in exact]
    spare = int((total - sum(floors, ZERO)) / unit)
    if not spare:
        return tuple(floors)
    if not floors:
        raise RuleBroken("total", "There is nothing to share the amount among.")
    if spare == 1:  # much the commonest case, and no sort
        remainders = [amount - floor for amount, floor in zip(exact, floors, strict=True)]
        floors[remainders.index(max(remainders))] += unit
        return tuple(floors)
    everyone, some = divmod(spare, len(floors))
    order = sorted(range(len(floors)), key=lambda place: floors[place] - exact[place])
    favoured = set(order[:some])
    return tuple(
        floor + unit * (everyone + (place in favoured)) for place, floor in enumerate(floors)
    )


def allocate(
    total: Decimal, weights: Iterable[Decimal | int], currency: str
) -> tuple[Decimal, ...]:
    """Split a total in proportion to its weights, without losing a minor unit.

    Largest remainder, ties to the earlier. A negative total is split as its opposite is. Raises
    RuleBroken when a weight is negative or none is positive, or the total has a fraction of a
    minor unit.
    """
    weighted = [Decimal(weight) for weight in weights]
    whole = sum(weighted, ZERO)
    if any(weight < 0 for weight in weighted):
        raise RuleBroken("weights", "A share cannot be negative.")
    if whole <= 0:
        raise RuleBroken("weights", "At least one share must be more than nothing.")
    if total != rounded(total, currency):
        raise RuleBroken("total", f"{total} has a fraction of the smallest amount of {currency}.")
    size = abs(total)
    parts = shares_of(size, [size * weight / whole for weight in weighted], currency)
    return parts if total >= 0 else tuple(-part + ZERO for part in parts)


def tax_per_rate(amounts: Iterable[TaxedAmount], currency: str) -> tuple[TaxGroup, ...]:
    """Round each net amount, add them up by rate, and charge the tax once on each sum.

    Groups stand in the order in which their rates first appear. Source: EN 16931-1, rules
    BR-CO-17 and BR-S-08.
    """
    taxable: dict[tuple[str, Decimal], Decimal] = {}
    for line in amounts:
        if not line.rate.is_finite() or line.rate < 0:
            raise RuleBroken("tax_rate", "A tax rate is 0 or more; give 20 for 20 %.")
        group = (line.category, line.rate)
        taxable[group] = taxable.get(group, ZERO) + rounded(line.amount, currency)
    return tuple(
        TaxGroup(
            category=category,
            rate=rate,
            taxable=amount,
            tax=rounded(amount * rate / HUNDRED, currency),
        )
        for (category, rate), amount in taxable.items()
    )


def document_totals(
    lines: Sequence[TaxedAmount],
    currency: str,
    *,
    allowances: Sequence[TaxedAmount] = (),
    charges: Sequence[TaxedAmount] = (),
    prepaid: Decimal = ZERO,
    rounding: Decimal = ZERO,
) -> DocumentTotals:
    """The foot of a quotation or invoice; every sum is of printed amounts.

    Allowances and charges are given as positive amounts. Source: EN 16931-1, rules BR-CO-10 to
    BR-CO-17.
    """
    sums = [
        sum((rounded(line.amount, currency) for line in group), ZERO)
        for group in (lines, allowances, charges)
    ]
    net = sums[0] - sums[1] + sums[2]
    off = [TaxedAmount(amount=-a.amount, rate=a.rate, category=a.category) for a in allowances]
    taxes = tax_per_rate([*lines, *off, *charges], currency)
    tax = sum((group.tax for group in taxes), ZERO)
    paid = rounded(prepaid, currency)
    odd = rounded(rounding, currency)
    return DocumentTotals(
        lines=sums[0],
        allowances=sums[1],
        charges=sums[2],
        net=net,
        taxes=taxes,
        tax=tax,
        gross=net + tax,
        prepaid=paid,
        rounding=odd,
        due=net + tax - paid + odd,
    )
