"""What is arranged for an offer beside its estimate: words, discounts, options, payments.

It is kept apart from the figures, so that an offer drafted again from a new estimate keeps it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from unicodedata import category

from costing.core.money import HUNDRED, ZERO, plain, rounded
from costing.core.offer import Adjustment, PaymentStage, StageShare
from costing.core.quotation import OptionKind, Quotation, QuotedItem, QuotedOption
from orders.core.errors import RuleBroken, RulesBroken
from orders.core.language import Language

MOST_ROWS = 40
MOST_LEAD_DAYS = 1_000
DECIMALS = 4
LARGEST = Decimal(10) ** 12
UNPRINTABLE = ("Cc", "Cs", "Cn")
LONGEST_LABEL, LONGEST_NOTE, LONGEST_TEXT = 120, 400, 6_000


class AdjustmentUnit(StrEnum):
    """What a discount or a charge is given in."""

    AMOUNT = "amount"
    PERCENT = "percent"


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedAdjustment:
    """A discount (below zero) or a charge (above): an amount, or per cent of the items.

    Without a `tax_rate` an amount is taxed at the first rate; per cent are taken of each rate.
    """

    label: str
    figure: Decimal
    unit: AdjustmentUnit = AdjustmentUnit.AMOUNT
    tax_rate: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemWords:
    """What an item is called on the paper, by its key; an empty label leaves it as it is."""

    key: str
    label: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedOption:
    """What is offered outside the total: a price, or a difference to what it stands for."""

    label: str
    net: Decimal
    kind: OptionKind = OptionKind.ADDITION
    instead_of: str = ""
    note: str = ""
    tax_rate: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """Everything that the estimator says beside the figures of the estimate.

    `lead_days` are working days from `lead_trigger`; 0 where none is promised. Without a
    `language` the paper is in the client's.
    """

    items: tuple[ItemWords, ...] = ()
    adjustments: tuple[AskedAdjustment, ...] = ()
    options: tuple[AskedOption, ...] = ()
    stages: tuple[StageShare, ...] = ()
    finish: str = ""
    assumptions: str = ""
    exclusions: str = ""
    lead_days: int = 0
    lead_trigger: str = ""
    language: Language | None = None

    def faults(self) -> list[RuleBroken]:
        """What is wrong with it, each beside its place."""
        return [*self._of_rows(), *self._of_text(), *self._of_lead_time()]

    def _of_rows(self) -> Iterator[RuleBroken]:
        for name in ("items", "adjustments", "options", "stages"):
            rows = getattr(self, name)
            if len(rows) > MOST_ROWS:
                yield RuleBroken(name, f"At most {MOST_ROWS} rows fit here.")
            for place, row in enumerate(rows):
                if name != "items" and not row.label.strip():
                    yield RuleBroken(f"{name}/{place}/label", "Say what this is.")
                yield from _bad_text(f"{name}/{place}/label", row.label, LONGEST_LABEL)
                for text in ("note", "due", "instead_of", "key"):
                    words = getattr(row, text, "")
                    yield from _bad_text(f"{name}/{place}/{text}", words, LONGEST_NOTE)
        for place, share in enumerate(self.stages):
            yield from _too_fine(f"stages/{place}/percent", share.percent)
        for place, one in enumerate(self.adjustments):
            yield from _bad_adjustment(f"adjustments/{place}", one)
        for place, option in enumerate(self.options):
            yield from _bad_option(f"options/{place}", option)

    def _of_text(self) -> Iterator[RuleBroken]:
        for name in ("finish", "assumptions", "exclusions"):
            yield from _bad_text(name, getattr(self, name), LONGEST_TEXT)

    def _of_lead_time(self) -> Iterator[RuleBroken]:
        yield from _bad_text("lead_trigger", self.lead_trigger, LONGEST_LABEL)
        if not 0 <= self.lead_days <= MOST_LEAD_DAYS:
            yield RuleBroken(
                "lead_days", f"Give 0 (none promised) to {MOST_LEAD_DAYS:,} working days."
            )
        elif self.lead_days and not self.lead_trigger.strip():
            yield RuleBroken("lead_trigger", "Say from when the days are counted.")


def _bad_text(field: str, text: str, most: int) -> Iterator[RuleBroken]:
    if any(category(letter) in UNPRINTABLE and letter not in "\t\r\n" for letter in text):
        yield RuleBroken(field, "Take the unprintable characters out of this.")
    elif len(text) > most:
        yield RuleBroken(field, f"Shorten this to {most:,} characters; it has {len(text):,}.")


def _too_fine(field: str, figure: Decimal | None) -> Iterator[RuleBroken]:
    """A figure that no paper shows."""
    if (
        figure is not None
        and figure.is_finite()
        and abs(figure) <= LARGEST
        and figure != round(figure, DECIMALS)
    ):
        yield RuleBroken(field, f"Give at most {DECIMALS} decimals.")


def _bad_adjustment(field: str, one: AskedAdjustment) -> Iterator[RuleBroken]:
    if not one.figure.is_finite() or abs(one.figure) > LARGEST:
        yield RuleBroken(f"{field}/figure", "Give a smaller figure.")
    elif not one.figure:
        yield RuleBroken(f"{field}/figure", "Give more than nothing, or take the row out.")
    elif one.unit is AdjustmentUnit.PERCENT and not -HUNDRED <= one.figure <= HUNDRED:
        yield RuleBroken(f"{field}/figure", "A share of the items is at most 100 %.")
    yield from _too_fine(f"{field}/figure", one.figure)
    yield from _bad_rate(field, one.tax_rate)


def _bad_option(field: str, option: AskedOption) -> Iterator[RuleBroken]:
    yield from _too_fine(f"{field}/net", option.net)
    if not option.net.is_finite() or abs(option.net) > LARGEST:
        yield RuleBroken(f"{field}/net", "Give a smaller amount.")
    elif option.kind is OptionKind.ADDITION and option.net < 0:
        yield RuleBroken(
            f"{field}/net", "An addition costs 0 or more; what makes it cheaper is an alternative."
        )
    yield from _bad_rate(field, option.tax_rate)


def _bad_rate(field: str, rate: Decimal | None) -> Iterator[RuleBroken]:
    yield from _too_fine(f"{field}/tax_rate", rate)
    if rate is not None and not 0 <= rate <= HUNDRED:
        yield RuleBroken(f"{field}/tax_rate", "A rate of tax lies from 0 to 100 %.")


def arranged(plain: Quotation, arrangement: Arrangement) -> Quotation:
    """The quotation of an estimate with what was arranged for it, added up anew.

    Raises RulesBroken, naming fields of the arrangement, and RuleBroken "adjustments" for
    discounts above what they are taken off.
    """
    if faults := arrangement.faults():
        raise RulesBroken(faults)
    items = _named(plain.items, arrangement.items)
    whole = replace(
        plain,
        items=items,
        options=tuple(_options(plain, arrangement.options)),
        adjustments=tuple(_adjustments(plain, arrangement.adjustments)),
        stages=tuple(_stage(share) for share in arrangement.stages),
        finish=arrangement.finish,
        assumptions=arrangement.assumptions,
        exclusions=arrangement.exclusions,
        lead_days=arrangement.lead_days,
        lead_trigger=arrangement.lead_trigger,
    )
    return whole.added_up()


def _named(items: Sequence[QuotedItem], words: Sequence[ItemWords]) -> tuple[QuotedItem, ...]:
    said = {one.key: one for one in words}
    return tuple(
        replace(item, label=said[item.key].label or item.label, note=said[item.key].note)
        if item.key in said
        else item
        for item in items
    )


def _options(plain: Quotation, asked: Sequence[AskedOption]) -> Iterator[QuotedOption]:
    for place, option in enumerate(asked, start=1):
        yield QuotedOption(
            key=f"option-{place}",
            label=option.label,
            net=rounded(option.net, plain.currency),
            kind=option.kind,
            instead_of=option.instead_of if option.kind is OptionKind.ALTERNATIVE else "",
            note=option.note,
            tax_rate=option.tax_rate,
        )


def _adjustments(offer: Quotation, asked: Sequence[AskedAdjustment]) -> Iterator[Adjustment]:
    for one in asked:
        if one.unit is AdjustmentUnit.AMOUNT:
            yield Adjustment(
                label=one.label,
                amount=rounded(one.figure, offer.currency),
                tax_rate=offer.first_rate if one.tax_rate is None else one.tax_rate,
            )
            continue
        for group in offer.taxes:
            if one.tax_rate is None or one.tax_rate == group.rate:
                yield Adjustment(
                    label=f"{one.label}, {plain(abs(one.figure))} %",
                    amount=rounded(group.taxable * one.figure / HUNDRED, offer.currency),
                    tax_rate=group.rate,
                    tax_category=group.category,
                )


def _stage(share: StageShare) -> PaymentStage:
    """A payment whose amount follows when the whole is added up."""
    return PaymentStage(label=share.label, percent=share.percent, amount=ZERO, due=share.due)
