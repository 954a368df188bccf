"""An invoice as data that an office's program reads: EN 16931, written in UN/CEFACT CII.

Keys are the business terms (BT) and groups (BG) of EN 16931-1.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Any

from facturx import generate_xml

from costing.core.invoice import Invoice, InvoiceLine
from costing.core.money import plain, rounded
from costing.core.offer import Adjustment
from costing.core.quotation import Party

PIECE = "C62"
"""One piece. Source: UN/ECE Recommendation 20."""
CREDIT_TRANSFER, NOT_AGREED = "58", "1"
"""SEPA credit transfer; instrument not defined. Source: UNTDID 4461."""
GREECE, GREEK_TAX = "GR", "EL"


def einvoice(invoice: Invoice) -> bytes:
    """The invoice in CII as EN 16931 has it, held against its XSD.

    Raises ValueError when it lacks what the standard asks for.
    """
    xml: bytes = generate_xml(
        terms_of(invoice), flavor="factur-x", level="en16931", check_xsd=True, check_schematron=None
    )
    return xml


def terms_of(invoice: Invoice) -> dict[str, Any]:
    """The business terms of an invoice."""
    totals, currency = invoice.totals, invoice.currency
    said: dict[str, Any] = {
        "BT-1": invoice.number,
        "BT-2": invoice.issued_on,
        "BT-3": invoice.kind.code,
        "BT-5": currency,
        "BT-9": invoice.due_on,
        "BT-14": invoice.order,
        "BT-20": f"{invoice.stage}, {invoice.percent:f} %" if invoice.stage else "",
        "BT-83": invoice.number,
        "BT-81": CREDIT_TRANSFER if invoice.iban else NOT_AGREED,
        "BG-4": party(invoice.seller),
        "BG-7": party(invoice.client),
        "BG-13": {"name": invoice.client.name, **address(invoice.client)},
        "BG-20": [*_adjustments(invoice.adjustments, -1, currency)],
        "BG-21": [*_adjustments(invoice.adjustments, 1, currency)],
        "BG-23": [
            {
                "BT-116": _amount(group.taxable, currency),
                "BT-117": _amount(group.tax, currency),
                "BT-118": category(group.category, group.rate),
                "BT-119": plain(group.rate),
            }
            for group in totals.taxes
        ],
        "BG-25": [
            _line(number, line, currency) for number, line in enumerate(invoice.lines, start=1)
        ],
        "BT-106": _amount(totals.lines, currency),
        "BT-107": _amount(totals.allowances, currency),
        "BT-108": _amount(totals.charges, currency),
        "BT-109": _amount(totals.net, currency),
        "BT-110": _amount(totals.tax, currency),
        "BT-112": _amount(totals.gross, currency),
        "BT-113": _amount(totals.prepaid, currency),
        "BT-114": _amount(totals.rounding, currency),
        "BT-115": _amount(totals.due, currency),
    }
    if invoice.iban:
        said["BT-84"] = invoice.iban
    followed = [*invoice.earlier, *([invoice.takes_back] if invoice.takes_back else [])]
    if followed:
        said["BG-3"] = [{"BT-25": one.number, "BT-26": one.issued_on} for one in followed]
    return said


def party(who: Party) -> dict[str, Any]:
    """A seller (BG-4) or buyer (BG-7): name, address, and where its tax is known."""
    said: dict[str, Any] = {"name": who.name, **address(who)}
    if number := vat_identifier(who.tax_number, who.country):
        said["vat_identifier"] = number
    elif who.tax_number:
        said["tax_identifier"] = who.tax_number
    if who.contact or who.phone or who.email:
        said["contacts"] = [
            {"name": who.contact or who.name, "phone": who.phone, "email": who.email}
        ]
    return said


def address(who: Party) -> dict[str, str]:
    """An address of three lines and a country; what is longer goes on in the third."""
    lines = [line.strip() for line in who.address.splitlines() if line.strip()]
    first, second, *others = [*lines, "", ""]
    return {
        "addr_l1": first,
        "addr_l2": second,
        "addr_l3": ", ".join(filter(None, others)),
        "country_code": who.country,
    }


def vat_identifier(number: str, country: str) -> str:
    """A tax number that begins with its country's letters, as BR-CO-09 asks for, or "".

    Source: EN 16931-1, BR-CO-09; Greece writes EL.
    """
    plain = "".join(number.split()).upper()
    letters = GREEK_TAX if country == GREECE else country
    return plain if letters and plain.startswith(letters) else ""


def category(said: str, rate: Decimal) -> str:
    """The category of a tax rate in UNTDID 5305: a standard rate of nothing is zero rated."""
    return "Z" if said == "S" and not rate else said


def _adjustments(
    adjustments: Sequence[Adjustment], sign: int, currency: str
) -> Iterator[dict[str, Any]]:
    """Discounts (sign -1, BG-20) or charges (BG-21); both are written above zero."""
    for one in adjustments:
        if (one.amount < 0) == (sign < 0):
            yield {
                "amount": _amount(abs(one.amount), currency),
                "reason": one.label,
                "vat_category_code": category(one.tax_category, one.tax_rate),
                "vat_rate": plain(one.tax_rate),
            }


def _line(number: int, line: InvoiceLine, currency: str) -> dict[str, Any]:
    """A line: its price is its whole net for its whole quantity, so that no cent is lost.

    Source: EN 16931-1, BT-149 (item price base quantity); BR-27, a price is not below zero.
    """
    return {
        "BT-126": str(number),
        "BT-129": plain(line.quantity),
        "BT-130": PIECE,
        "BT-131": _amount(line.net, currency),
        "BT-146": _amount(abs(line.net), currency),
        "BT-149": plain(abs(line.quantity)),
        "BT-151": category(line.tax_category, line.tax_rate),
        "BT-152": plain(line.tax_rate),
        "BT-153": line.label,
        "BT-154": line.note,
    }


def _amount(value: Decimal, currency: str) -> str:
    return f"{rounded(value, currency):f}"
