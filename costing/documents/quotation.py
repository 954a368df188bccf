"""The quotation: what the client is offered, as a letter that a shop is proud to send."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from babel.dates import format_date
from babel.numbers import format_currency, format_decimal, get_currency_precision
from django.template.loader import render_to_string
from pydantic import TypeAdapter

from costing.core.quotation import Quotation
from costing.documents.press import Enclosure, Kind, printed

LOCALE = "en_GB"
NEVER = date(2000, 1, 1)
"""What the file of a draft says of when it was made: a draft has no date."""
QUOTATION = TypeAdapter(Quotation)


def quotation_pdf(quotation: Quotation, *, is_draft: bool = False) -> bytes:
    """The quotation on paper; the same quotation always gives the same bytes.

    It is written for archives, with its figures enclosed as JSON. A draft says so on every page.
    """
    made_on = quotation.issued_on or NEVER
    page = render_to_string(
        "documents/quotation.html",
        {
            "quotation": quotation,
            "is_draft": is_draft,
            "made_on": made_on,
            "project": quotation.title,
            **written(quotation),
        },
    )
    figures = Enclosure(
        name="quotation.json",
        description="The figures of this quotation",
        on=made_on,
        text=QUOTATION.dump_json(quotation, indent=2).decode(),
    )
    return printed([page], kind=Kind.ARCHIVE, enclosures=[figures])


def written(quotation: Quotation) -> Mapping[str, Any]:
    """Its amounts and days in words and figures, as the page shows them."""
    currency = quotation.currency
    return {
        "mark": f"{quotation.number}-{quotation.revision}",
        "items": [
            {
                "item": item,
                "place": place,
                "net": amount(item.net, currency),
                "opens_end": place == len(quotation.items) - 1,
            }
            for place, item in enumerate(quotation.items, start=1)
        ],
        "net": amount(quotation.net, currency),
        "taxes": [
            {
                "words": f"{quotation.tax_name} {rate(group.rate)} of {amount(group.taxable, currency)}",
                "tax": amount(group.tax, currency),
            }
            for group in quotation.taxes
        ],
        "gross": format_currency(quotation.gross, currency, locale=LOCALE),
        "issued_on": _day(quotation.issued_on),
        "valid_until": _day(quotation.valid_until),
        "due_on": _day(quotation.due_on),
    }


def amount(value: Decimal, currency: str) -> str:
    """An amount to its minor units, without its currency: the head of the column has that."""
    decimals = get_currency_precision(currency)
    pattern = "#,##0" + ("." + "0" * decimals if decimals else "")
    return str(format_decimal(value, pattern, locale=LOCALE))


def rate(value: Decimal) -> str:
    """A rate of tax in per cent: 23 %, 13.5 %."""
    return f"{format_decimal(value, '0.##', locale=LOCALE)}\u00a0%"


def _day(day: date | None) -> str:
    return str(format_date(day, "long", locale=LOCALE)) if day else ""
