"""What an offer comes to: items, discounts and charges, tax, and when it is to be paid.

Every amount is rounded once, tax is charged once per rate on its sum, and stages share the total
by largest remainder, so that what is invoiced in the end is what was offered, to the cent.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from costing.core.money import (
    HUNDRED,
    ZERO,
    DocumentTotals,
    TaxedAmount,
    allocate,
    document_totals,
    rounded,
)
from orders.core.errors import RuleBroken, RulesBroken

MOST_STAGES = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjustment:
    """A discount (below zero) or a charge (above) on the whole offer, at a rate of tax."""

    label: str
    amount: Decimal
    tax_rate: Decimal
    tax_category: str = "S"

    @property
    def taxed(self) -> TaxedAmount:
        """How much it is, above zero either way, with its tax."""
        return TaxedAmount(amount=abs(self.amount), rate=self.tax_rate, category=self.tax_category)


@dataclass(frozen=True, slots=True, kw_only=True)
class StageShare:
    """A payment as agreed: its share of the total in per cent, and what it falls due on."""

    label: str
    percent: Decimal
    due: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentStage:
    """A payment with its amount, tax included."""

    label: str
    percent: Decimal
    amount: Decimal
    due: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StageInvoice:
    """What is invoiced at one stage.

    All but the last are for a payment in advance: one amount a tax rate, and a `rounding` (never
    more than a few of the smallest amounts) where no net amount and its tax come to the stage. The
    last is for the whole, with what was paid before taken off.
    """

    stage: PaymentStage
    number: int
    is_last: bool
    lines: tuple[TaxedAmount, ...]
    totals: DocumentTotals


def totals_of(
    items: Sequence[TaxedAmount], adjustments: Sequence[Adjustment], currency: str
) -> DocumentTotals:
    """The foot of an offer.

    Raises RuleBroken when the discounts come to more than what they are taken off, in all or at
    one rate of tax.
    """
    totals = _foot(items, adjustments, ZERO, currency)
    discounted = {(one.tax_category, one.tax_rate) for one in adjustments if one.amount < 0}
    if any(
        group.taxable < 0 and (group.category, group.rate) in discounted for group in totals.taxes
    ):
        raise RuleBroken(
            "adjustments",
            "The discount is greater than what it is taken off; give a smaller one.",
            nearest=float(totals.lines + totals.charges),
        )
    return totals


def payment_plan(
    gross: Decimal, shares: Sequence[StageShare], currency: str
) -> tuple[PaymentStage, ...]:
    """The total in stages, by largest remainder: the amounts add up to it exactly.

    Raises RulesBroken, naming "stages/<place>/percent", for shares below 0, and "stages" where
    they do not add up to 100 per cent, are more than a dozen, or the total is a credit.
    """
    faults = [
        RuleBroken(f"stages/{place}/percent", "Give a share of more than 0 per cent.")
        for place, share in enumerate(shares)
        if not (share.percent.is_finite() and share.percent > 0)
    ]
    if gross < 0 and len(shares) > 1:
        faults.append(RuleBroken("stages", "A credit is not paid in stages; take them out."))
    if len(shares) > MOST_STAGES:
        faults.append(RuleBroken("stages", f"Ask for at most {MOST_STAGES} payments."))
    if shares and not faults:
        whole = sum((share.percent for share in shares), ZERO)
        if whole != HUNDRED:
            faults.append(
                RuleBroken("stages", f"The stages add up to {whole:f} %; make them 100 %.")
            )
    if faults:
        raise RulesBroken(faults)
    amounts = allocate(gross, [share.percent for share in shares], currency) if shares else ()
    return tuple(
        PaymentStage(label=share.label, percent=share.percent, amount=amount, due=share.due)
        for share, amount in zip(shares, amounts, strict=True)
    )


def stage_invoices(
    items: Sequence[TaxedAmount],
    adjustments: Sequence[Adjustment],
    stages: Sequence[PaymentStage],
    currency: str,
) -> tuple[StageInvoice, ...]:
    """An invoice for each stage; what falls due in all of them is the offer's total.

    Source: EN 16931-1, BT-113 (paid amount) and BT-114 (rounding amount), rules BR-CO-10 to
    BR-CO-17.
    """
    totals = totals_of(items, adjustments, currency)
    paid = ZERO
    invoices: list[StageInvoice] = []
    for number, stage in enumerate(stages, start=1):
        if number < len(stages):
            lines, foot = _in_advance(totals, stage, currency)
            paid += foot.due
        else:
            lines, foot = tuple(items), _foot(items, adjustments, paid, currency)
        invoices.append(
            StageInvoice(
                stage=stage,
                number=number,
                is_last=number == len(stages),
                lines=lines,
                totals=foot,
            )
        )
    return tuple(invoices)


def _in_advance(
    totals: DocumentTotals, stage: PaymentStage, currency: str
) -> tuple[tuple[TaxedAmount, ...], DocumentTotals]:
    """A payment in advance: shared out to the rates of tax as the whole is."""
    grosses = [group.taxable + group.tax for group in totals.taxes]
    weights = [max(amount, ZERO) for amount in grosses]
    parts = allocate(stage.amount, weights, currency) if any(weights) else ()
    lines = tuple(
        TaxedAmount(
            amount=rounded(part * HUNDRED / (HUNDRED + group.rate), currency),
            rate=group.rate,
            category=group.category,
        )
        for part, group in zip(parts, totals.taxes, strict=False)
    )
    foot = document_totals(lines, currency)
    odd = stage.amount - foot.gross
    return lines, document_totals(lines, currency, rounding=odd)


def _foot(
    items: Sequence[TaxedAmount],
    adjustments: Sequence[Adjustment],
    paid: Decimal,
    currency: str,
) -> DocumentTotals:
    """The foot of the whole, discounts and charges apart, less what was paid."""
    off = [one for one in adjustments if one.amount < 0]
    on = [one for one in adjustments if one.amount >= 0]
    return document_totals(
        items,
        currency,
        allowances=[one.taxed for one in off],
        charges=[one.taxed for one in on],
        prepaid=paid,
    )
