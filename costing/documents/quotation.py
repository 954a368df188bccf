"""The quotation: what the client is offered, as a letter that a shop is proud to send."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.template.loader import render_to_string
from pydantic import TypeAdapter

from costing.core.quotation import Quotation
from costing.documents.press import Enclosure, Kind, printed
from costing.documents.tongue import Tongue
from orders.core.language import Language

TONGUE = Tongue(Language.EN)
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
    mark = f"{quotation.number}-{quotation.revision}"
    issued_on = TONGUE.day(quotation.issued_on)
    valid_until, due_on = TONGUE.day(quotation.valid_until), TONGUE.day(quotation.due_on)
    return {
        "mark": mark,
        "dates": [
            ("Quotation", mark),
            ("Date", issued_on or "draft"),
            ("Valid until", valid_until),
            *([("Ready by", due_on)] if due_on else []),
        ],
        "seller_tax": TONGUE.tax_number(quotation.tax_name, quotation.seller.tax_number),
        "client_tax": TONGUE.tax_number(quotation.tax_name, quotation.client.tax_number),
        "items": [
            {
                "item": item,
                "place": place,
                "net": TONGUE.amount(item.net, currency),
                "opens_end": place == len(quotation.items) - 1,
            }
            for place, item in enumerate(quotation.items, start=1)
        ],
        "net": TONGUE.amount(quotation.net, currency),
        "taxes": [
            {
                "words": TONGUE.tax_of(quotation.tax_name, group, currency),
                "tax": TONGUE.amount(group.tax, currency),
            }
            for group in quotation.taxes
        ],
        "gross": TONGUE.money(quotation.gross, currency),
        "valid_until": valid_until,
    }
