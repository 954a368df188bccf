"""What a quotation says: frozen when it is issued, and enough to print it again years later."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from costing.core.estimate import Estimate
from costing.core.money import TaxGroup


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
    """One priced line: an assembly in its whole quantity, net of tax."""

    label: str
    quantity: int
    net: Decimal
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quotation:
    """A quotation. Item nets add up to `net`; `net` and `tax` add up to `gross`."""

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

    def issued(self, on: date, valid_until: date) -> "Quotation":
        """The same quotation, dated."""
        return replace(self, issued_on=on, valid_until=valid_until)


def quoted_items(
    estimate: Estimate, roots: Mapping[str, str], *, whole_label: str
) -> tuple[QuotedItem, ...]:
    """An item for each top assembly; the shares of what stands in it are added to its own.

    `roots` names the top assembly of every assembly by key. What belongs to no assembly is an
    item of its own, called `whole_label`. The nets add up to the estimate's net.
    """
    nets: dict[str, Decimal] = {}
    for share in estimate.assemblies:
        root = roots.get(share.key, "")
        nets[root] = nets.get(root, Decimal(0)) + share.price
    tops = {share.key: share for share in estimate.assemblies}
    return tuple(
        QuotedItem(
            label=tops[root].label if root else whole_label,
            quantity=tops[root].quantity if root else 1,
            net=net,
        )
        for root, net in nets.items()
    )
