"""An invoice for a stage of an order: what it says, frozen, and the rules it keeps."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from costing.core.money import DocumentTotals
from costing.core.offer import Adjustment
from costing.core.quotation import Party
from orders.core.language import Language


class InvoiceKind(StrEnum):
    """What an invoice is for."""

    ADVANCE = "advance"
    FINAL = "final"
    CREDIT = "credit"

    @property
    def label(self) -> str:
        """What it is called on the screen."""
        return {
            self.ADVANCE: "payment in advance",
            self.FINAL: "last payment",
            self.CREDIT: "credit note",
        }[self]

    @property
    def code(self) -> str:
        """Its number in UNTDID 1001, as EN 16931 has it in BT-3."""
        return {self.ADVANCE: "386", self.FINAL: "380", self.CREDIT: "381"}[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class InvoiceLine:
    """One line, net of tax. A line below zero is a return, and has a quantity below zero."""

    label: str
    quantity: Decimal
    net: Decimal
    tax_rate: Decimal
    tax_category: str = "S"
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Preceding:
    """An invoice that this one follows, and what was due by it."""

    number: str
    issued_on: date
    due: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Invoice:
    """An invoice. The lines, adjustments and earlier invoices add up to its totals.

    `percent` is the share of the order that the stage asks for; `earlier` were paid before it. A
    credit note repeats the amounts of the invoice it takes back, as EN 16931 has them: above zero.
    """

    number: str
    kind: InvoiceKind
    issued_on: date
    due_on: date
    language: Language
    currency: str
    order: str
    title: str
    seller: Party
    client: Party
    stage: str
    percent: Decimal
    lines: tuple[InvoiceLine, ...]
    adjustments: tuple[Adjustment, ...]
    totals: DocumentTotals
    tax_name: str
    iban: str = ""
    earlier: tuple[Preceding, ...] = ()
    takes_back: Preceding | None = None
