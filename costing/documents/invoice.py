"""The invoice: what a stage of an order comes to, on paper and as data in the same file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import cache
from typing import Any

from django.template.loader import render_to_string
from facturx.facturx import generate_xmp_object
from lxml import etree

from costing.core.invoice import Invoice, InvoiceKind
from costing.core.money import plain
from costing.documents.dress import PLAIN, Dress, dress_of
from costing.documents.einvoice import einvoice
from costing.documents.press import Enclosure, Kind, printed
from costing.documents.tongue import Tongue
from shop.models import Workshop

DATA = "factur-x.xml"
"""The name that its readers look for. Source: Factur-X 1.0, chapter 6."""
SCHEMA = {
    "pdfa3_flavor": "A",
    "title": "",
    "author": "",
    "subject": "",
    "producer": "",
    "creator_tool": "",
    "timestamp": "",
    "version": "1.0",
    "documenttype": "INVOICE",
    "xml_filename": DATA,
    "xmp_level": "EN 16931",
    "urn": "urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#",
}
RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
OURS = 2
"""How many of the library's descriptions say what an electronic invoice is; they stand last."""


def invoice_pdf(invoice: Invoice, *, dress: Dress = PLAIN) -> bytes:
    """The invoice on paper, with its EN 16931 data enclosed; the same invoice gives the same bytes.

    Source: Factur-X 1.0, profile EN 16931.
    """
    page = render_to_string(
        "documents/invoice.html",
        {
            "invoice": invoice,
            "dress": dress,
            "made_on": invoice.issued_on,
            "project": invoice.title,
            **written(invoice),
        },
    )
    data = Enclosure(
        name=DATA,
        description="This invoice as data of EN 16931",
        on=invoice.issued_on,
        text=einvoice(invoice).decode(),
        is_the_same=True,
    )
    return printed([page], kind=Kind.ARCHIVE, enclosures=[data], described=descriptions())


def invoice_of_workshop(invoice: Invoice, workshop: Workshop) -> bytes:
    """An invoice on its workshop's letterhead."""
    return invoice_pdf(invoice, dress=dress_of(workshop))


@cache
def descriptions() -> tuple[bytes, ...]:
    """What the file says of the data in it, in RDF."""
    found = generate_xmp_object(SCHEMA).findall(f"{RDF}RDF/{RDF}Description")[-OURS:]
    for one in found:
        one.set(f"{RDF}about", "")
    return tuple(etree.tostring(one) for one in found)


def written(invoice: Invoice) -> Mapping[str, Any]:
    """Its amounts and days in words and figures, as the page shows them."""
    tongue = Tongue(invoice.language)
    totals, currency = invoice.totals, invoice.currency
    is_credit = invoice.kind is InvoiceKind.CREDIT
    named = tongue.words["credit_note" if is_credit else "invoice"]
    return {
        "words": tongue.words,
        "lang": tongue.tag,
        "named": named,
        "rows": [
            {
                "line": line,
                "place": place,
                "quantity": plain(line.quantity),
                "rate": tongue.rate(line.tax_rate),
                "net": tongue.amount(line.net, currency),
            }
            for place, line in enumerate(invoice.lines, start=1)
        ],
        "shows_rates": len(totals.taxes) > 1,
        "net_in": tongue.said("net_in", currency=currency),
        "what_for": what_for(invoice, tongue),
        "sums": [*sums(invoice, tongue)],
        "due": tongue.money(totals.due, currency),
        "to_pay": tongue.words["taken_back" if is_credit else "to_pay"],
        "dates": [
            (named, invoice.number),
            (tongue.words["date"], tongue.day(invoice.issued_on)),
            (tongue.words["order"], invoice.order),
            *([] if is_credit else [(tongue.words["pay_by"], tongue.day(invoice.due_on))]),
        ],
        "short_issued_on": tongue.short_day(invoice.issued_on),
        "short_due_on": "" if is_credit else tongue.short_day(invoice.due_on),
        "seller_tax": tongue.tax_number(invoice.tax_name, invoice.seller.tax_number),
        "client_tax": tongue.tax_number(invoice.tax_name, invoice.client.tax_number),
        "account": tongue.said("account", iban=spaced(invoice.iban), number=invoice.number)
        if invoice.iban and totals.due > 0 and not is_credit
        else "",
    }


def what_for(invoice: Invoice, tongue: Tongue) -> str:
    """What the invoice is for in a sentence: a share of an order, or what it takes back."""
    if back := invoice.takes_back:
        return tongue.said("takes_back", number=back.number, day=tongue.day(back.issued_on))
    if not invoice.stage:
        return f"{tongue.words['order']} {invoice.order}"
    return tongue.said(
        "invoice_for",
        stage=invoice.stage,
        percent=tongue.rate(invoice.percent),
        order=invoice.order,
    )


def sums(invoice: Invoice, tongue: Tongue) -> Iterator[tuple[str, str]]:
    """The rows between the lines and what is to be paid, each as its words and its amount."""
    totals, currency = invoice.totals, invoice.currency

    def amount(value: Decimal) -> str:
        return tongue.amount(value, currency)

    for one in invoice.adjustments:
        yield one.label, amount(one.amount)
    yield tongue.words["net"], amount(totals.net)
    for group in totals.taxes:
        yield tongue.tax_of(invoice.tax_name, group, currency), amount(group.tax)
    if totals.prepaid or totals.rounding:
        yield tongue.words["total"], amount(totals.gross)
    for paid in invoice.earlier:
        said = tongue.said("invoiced_before", number=paid.number, day=tongue.day(paid.issued_on))
        yield said, amount(-paid.due)
    if totals.rounding:
        yield tongue.words["rounding"], amount(totals.rounding)


def spaced(iban: str) -> str:
    """An account number in groups of four, as it is read. Source: ISO 13616."""
    return " ".join(iban[at : at + 4] for at in range(0, len(iban), 4))
