"""How far the invoices of a quote drift from it: python tests/benchmarks/drift.py [quotes]

Random quotes with returns, several rates of tax, discounts, charges, options and payments in seven
currencies are arranged, taken up, and invoiced. What falls due in all invoices is held against what
was agreed, to the smallest amount; every document is added up again by rules of its own. The rivals
in the same run: floating-point figures rounded to the nearest even, and tax on each line.
"""

from __future__ import annotations

import random
import sys
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from time import perf_counter

from costing.core.arrangement import (
    AdjustmentUnit,
    Arrangement,
    AskedAdjustment,
    AskedOption,
    arranged,
)
from costing.core.money import HUNDRED, ZERO, currency_of, smallest_amount
from costing.core.offer import PaymentStage, StageShare, stage_invoices
from costing.core.quotation import Party, Quotation, QuotedItem
from orders.core.errors import RuleBroken, RulesBroken

CURRENCIES = ("EUR", "GBP", "USD", "CHF", "JPY", "KWD", "TND")
RATES = tuple(Decimal(rate) for rate in ("23", "13.5", "9", "7.7", "4.8", "0"))
SEED = 20260417


@dataclass
class Tally:
    """What was found."""

    quotes: int = 0
    refused: int = 0
    documents: int = 0
    drifted: int = 0
    wrong_sums: int = 0
    floating: int = 0
    by_line: int = 0


def random_quote(dice: random.Random) -> Quotation:
    """A quote before anything is arranged."""
    currency = dice.choice(CURRENCIES)
    unit = smallest_amount(currency)
    rates = dice.sample(RATES, dice.randint(1, 3))
    items = tuple(
        QuotedItem(
            label=f"item {number}",
            quantity=dice.randint(1, 9),
            net=dice.randint(-400_000 if dice.random() < 0.15 else 1, 2_000_000) * unit,
            tax_rate=dice.choice(rates),
        )
        for number in range(dice.randint(1, 12))
    )
    return Quotation(
        number="0001",
        revision=1,
        title="drift",
        currency=currency,
        seller=Party(name="a"),
        client=Party(name="b"),
        items=items,
        net=ZERO,
        tax_name="VAT",
        taxes=(),
        tax=ZERO,
        gross=ZERO,
        valid_until=date(2026, 5, 1),
    ).added_up()


def random_arrangement(dice: random.Random, quote: Quotation) -> Arrangement:
    """Discounts, charges, options and payments for it."""
    places = currency_of(quote.currency).minor_units
    adjustments = tuple(
        AskedAdjustment(
            label="x",
            figure=Decimal(dice.randint(-2_000, 2_500) or 1).scaleb(-2)
            if dice.random() < 0.5
            else Decimal(dice.randint(-90_000, 90_000) or 1).scaleb(-places),
            unit=AdjustmentUnit.PERCENT if dice.random() < 0.5 else AdjustmentUnit.AMOUNT,
        )
        for _ in range(dice.randint(0, 3))
    )
    adjustments = tuple(
        one
        for one in adjustments
        if one.unit is AdjustmentUnit.AMOUNT or abs(one.figure) <= HUNDRED
    )
    cuts = sorted(dice.sample(range(1, 10_000), dice.randint(0, 5)))
    shares = [b - a for a, b in zip([0, *cuts], [*cuts, 10_000], strict=True)]
    return Arrangement(
        adjustments=adjustments,
        options=tuple(
            AskedOption(label="o", net=Decimal(dice.randint(0, 90_000)).scaleb(-places))
            for _ in range(dice.randint(0, 3))
        ),
        stages=tuple(StageShare(label="p", percent=Decimal(share).scaleb(-2)) for share in shares),
    )


def look(dice: random.Random, tally: Tally) -> None:
    """Make one quote, take it up, invoice it, and compare."""
    plain = random_quote(dice)
    try:
        offered = arranged(plain, random_arrangement(dice, plain))
        agreed = offered.taking([o.key for o in offered.options if dice.random() < 0.5])
    except (RuleBroken, RulesBroken):  # what the rules refuse is no quote
        tally.refused += 1
        return
    stages = agreed.stages or (PaymentStage(label="", percent=HUNDRED, amount=agreed.gross),)
    invoices = stage_invoices(agreed.taxed, agreed.adjustments, stages, agreed.currency)
    tally.quotes += 1
    tally.documents += len(invoices)
    tally.drifted += sum((i.totals.due for i in invoices), ZERO) != agreed.gross
    tally.drifted += invoices[-1].totals.gross != agreed.gross
    tally.wrong_sums += not _adds_up(agreed)
    unit = smallest_amount(agreed.currency)
    tally.floating += _floating(agreed, unit) != agreed.gross
    tally.by_line += _by_line(agreed, unit) != agreed.gross


def _adds_up(agreed: Quotation) -> bool:
    """The foot again, in whole numbers of the smallest amount and by no code of the shop's."""
    unit = smallest_amount(agreed.currency)
    rows = [(t.amount, t.rate) for t in agreed.taxed]
    rows += [(one.amount, one.tax_rate) for one in agreed.adjustments]
    sums: dict[Decimal, int] = {}
    for amount, rate in rows:
        sums[rate] = sums.get(rate, 0) + int(amount / unit)
    tax = 0
    for rate, taxable in sums.items():
        per_mille = int(rate * 1000)
        size, sign = abs(taxable) * per_mille, -1 if taxable < 0 else 1
        tax += sign * ((2 * size + 100_000) // 200_000)
    net = sum(sums.values())
    return (net * unit, tax * unit, (net + tax) * unit) == (agreed.net, agreed.tax, agreed.gross)


def _floating(agreed: Quotation, unit: Decimal) -> Decimal:
    """The rival: floating-point, rounded to the nearest even."""
    places = -int(unit.adjusted())
    total = 0.0
    sums: dict[float, float] = {}
    for row in agreed.taxed:
        sums[float(row.rate)] = sums.get(float(row.rate), 0.0) + float(row.amount)
    for one in agreed.adjustments:
        sums[float(one.tax_rate)] = sums.get(float(one.tax_rate), 0.0) + float(one.amount)
    for rate, taxable in sums.items():
        total += taxable + round(taxable * rate / 100, places)
    return Decimal(repr(round(total, places))).quantize(unit)


def _by_line(agreed: Quotation, unit: Decimal) -> Decimal:
    """The rival: tax on each line, rounded there."""
    total = ZERO
    rows = [(t.amount, t.rate) for t in agreed.taxed]
    rows += [(one.amount, one.tax_rate) for one in agreed.adjustments]
    for amount, rate in rows:
        total += amount + (amount * rate / HUNDRED).quantize(unit, ROUND_HALF_UP)
    return total


def main(count: int) -> int:
    """Look at so many quotes and say what was found."""
    dice, tally, began = random.Random(SEED), Tally(), perf_counter()
    while tally.quotes < count:
        look(dice, tally)
    seconds = perf_counter() - began
    print(f"{tally.quotes:,} quotes ({tally.refused:,} more were refused), seed {SEED}")
    print(f"{tally.documents:,} invoices in {seconds:.0f} s")
    print(f"drift from quote to invoices      {tally.drifted:,}")
    print(f"sums that another reckoning denies {tally.wrong_sums:,}")
    print(f"rival, floating point, half even  {tally.floating:,} totals off")
    print(f"rival, tax on each line           {tally.by_line:,} totals off")
    return 1 if tally.drifted or tally.wrong_sums else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000))
