"""What a quotation says: frozen when it is issued, and enough to print it again years later."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum
from types import MappingProxyType

from costing.core.estimate import Estimate
from costing.core.money import ZERO, TaxedAmount, TaxGroup
from costing.core.offer import (
    Adjustment,
    PaymentStage,
    StageShare,
    payment_plan,
    totals_of,
)
from orders.core.errors import RuleBroken
from orders.core.language import Language


@dataclass(frozen=True, slots=True, kw_only=True)
class Party:
    """The seller or the client, as written at the head of the paper."""

    name: str
    address: str = ""
    contact: str = ""
    email: str = ""
    phone: str = ""
    tax_number: str = ""
    country: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class QuotedItem:
    """One priced line: an assembly in its whole quantity, net of tax.

    `key` is the assembly's in the estimate, or that of an option that was taken. Without a
    `tax_rate` it is taxed at the quotation's first.
    """

    label: str
    quantity: int
    net: Decimal
    note: str = ""
    key: str = ""
    tax_rate: Decimal | None = None
    tax_category: str = "S"


class OptionKind(StrEnum):
    """What taking an option does."""

    ADDITION = "addition"
    ALTERNATIVE = "alternative"


@dataclass(frozen=True, slots=True, kw_only=True)
class QuotedOption:
    """What the client may also have, outside the total until it is taken.

    `net` is what the total changes by: the price of an addition, or by how much an alternative is
    dearer (cheaper, below zero) than what it stands for, which `instead_of` names.
    """

    key: str
    label: str
    net: Decimal
    kind: OptionKind = OptionKind.ADDITION
    instead_of: str = ""
    note: str = ""
    tax_rate: Decimal | None = None
    tax_category: str = "S"
    is_taken: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Quotation:
    """A quotation.

    Item nets and adjustments add up to `net`, the options that are taken among them; `net` and
    `tax` add up to `gross`, and the stages of payment to that. `lead_days` are working days from
    `lead_trigger`, 0 where none are promised.
    """

    number: str
    revision: int
    title: str
    currency: str
    seller: Party
    client: Party
    items: tuple[QuotedItem, ...]
    net: Decimal
    tax_name: str
    taxes: tuple[TaxGroup, ...]
    tax: Decimal
    gross: Decimal
    valid_until: date
    issued_on: date | None = None
    due_on: date | None = None
    timber: str = ""
    exposure: str = ""
    glue: str = ""
    terms: str = ""
    standard_edition: int = 1
    rate_edition: int = 1
    language: Language = Language.EN
    adjustments: tuple[Adjustment, ...] = ()
    options: tuple[QuotedOption, ...] = ()
    stages: tuple[PaymentStage, ...] = ()
    finish: str = ""
    assumptions: str = ""
    exclusions: str = ""
    lead_days: int = 0
    lead_trigger: str = ""

    @property
    def mark(self) -> str:
        """The number and the revision, as they are written on papers."""
        return f"{self.number}-{self.revision}"

    def issued(self, on: date, valid_until: date) -> "Quotation":
        """The same quotation, dated."""
        return replace(self, issued_on=on, valid_until=valid_until)

    @property
    def charged(self) -> tuple[QuotedItem, ...]:
        """Every line that is charged: the items, and the options that are taken."""
        return self.items + tuple(
            QuotedItem(
                label=option.label,
                quantity=1,
                net=option.net,
                note=option.note,
                key=option.key,
                tax_rate=option.tax_rate,
                tax_category=option.tax_category,
            )
            for option in self.options
            if option.is_taken
        )

    @property
    def taxed(self) -> tuple[TaxedAmount, ...]:
        """What is charged, each with its rate of tax."""
        return tuple(
            TaxedAmount(
                amount=item.net,
                rate=self.first_rate if item.tax_rate is None else item.tax_rate,
                category=item.tax_category,
            )
            for item in self.charged
        )

    @property
    def first_rate(self) -> Decimal:
        """The rate of what names none."""
        return self.taxes[0].rate if self.taxes else ZERO

    def added_up(self) -> "Quotation":
        """The same with its totals and payments worked out anew.

        Raises RuleBroken for discounts above what they are taken off, RulesBroken for stages that
        do not come to the whole.
        """
        totals = totals_of(self.taxed, self.adjustments, self.currency)
        shares = [StageShare(label=s.label, percent=s.percent, due=s.due) for s in self.stages]
        return replace(
            self,
            net=totals.net,
            taxes=totals.taxes,
            tax=totals.tax,
            gross=totals.gross,
            stages=payment_plan(totals.gross, shares, self.currency),
        )

    def taking(self, keys: Collection[str]) -> "Quotation":
        """The same with just these options taken.

        Raises RuleBroken, naming "options", for an option that is not offered.
        """
        unknown = set(keys) - {option.key for option in self.options}
        if unknown:
            raise RuleBroken("options", "One of the options is not offered here; read it again.")
        options = tuple(replace(one, is_taken=one.key in keys) for one in self.options)
        if options == self.options:
            return self
        return replace(self, options=options).added_up()


def quoted_items(
    estimate: Estimate,
    roots: Mapping[str, str],
    *,
    whole_label: str,
    names: Mapping[str, str] = MappingProxyType({}),
) -> tuple[QuotedItem, ...]:
    """An item for each top assembly; the shares of what stands in it are added to its own.

    `roots` names the top assembly of every assembly by key, `names` says what it is called where
    that is not its label in the estimate. What belongs to no assembly is an item of its own,
    called `whole_label`. The nets add up to the estimate's net.
    """
    nets: dict[str, Decimal] = {}
    for share in estimate.assemblies:
        root = roots.get(share.key, "")
        nets[root] = nets.get(root, Decimal(0)) + share.price
    tops = {share.key: share for share in estimate.assemblies}
    return tuple(
        QuotedItem(
            key=root,
            label=names.get(root, tops[root].label) if root else whole_label,
            quantity=tops[root].quantity if root else 1,
            net=net,
        )
        for root, net in nets.items()
    )
