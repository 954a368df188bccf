"""The quotation: what the client is offered, as a letter that a shop is proud to send."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe
from pydantic import TypeAdapter

from costing.core.quotation import Quotation
from costing.core.wording import words_of
from costing.documents.dress import PLAIN, Dress, dress_of
from costing.documents.equotation import equotation
from costing.documents.press import Enclosure, Kind, printed
from costing.documents.tongue import Tongue
from costing.models import Quote
from costing.services.quotations import drawn_of
from orders.core import drawing
from orders.core.language import Language
from orders.core.pattern import Piece

NEVER = date(2000, 1, 1)
"""What the file of a draft says of when it was made: a draft has no date."""
QUOTATION = TypeAdapter(Quotation)
ALONE_PX, BESIDE_PX = 380.0, 250.0

Drawn = Sequence[tuple[str, Sequence[Piece]]]
"""What a quotation shows: names, each with the pieces as they stand."""


def quotation_of_quote(quote: Quote, said: Quotation, *, is_draft: bool = False) -> bytes:
    """A quote on its workshop's letterhead, with drawings of what it is for."""
    dress = dress_of(quote.commission.workshop)
    return quotation_pdf(said, is_draft=is_draft, dress=dress, drawn=drawn_of(quote))


def quotation_pdf(
    quotation: Quotation, *, is_draft: bool = False, dress: Dress = PLAIN, drawn: Drawn = ()
) -> bytes:
    """The quotation on paper, in its language; the same quotation always gives the same bytes.

    It is written for archives, with its figures enclosed as data. A draft says so on every page.
    """
    made_on = quotation.issued_on or NEVER
    page = render_to_string(
        "documents/quotation.html",
        {
            "quotation": quotation,
            "is_draft": is_draft,
            "made_on": made_on,
            "project": quotation.title,
            "dress": dress,
            "drawings": drawings(drawn, quotation.language),
            **written(quotation, is_draft=is_draft),
        },
    )
    return printed([page], kind=Kind.ARCHIVE, enclosures=[*_enclosed(quotation, made_on)])


def _enclosed(quotation: Quotation, on: date) -> Iterator[Enclosure]:
    """Its figures as we keep them and, once it is issued, as other programs read them."""
    yield Enclosure(
        name="quotation.json",
        description="The figures of this quotation",
        on=on,
        text=QUOTATION.dump_json(quotation, indent=2).decode(),
    )
    if quotation.issued_on:
        yield Enclosure(
            name="quotation.xml",
            description="This quotation as data, UBL 2.1",
            on=on,
            text=equotation(quotation).decode(),
            is_the_same=True,
        )


def drawings(drawn: Drawn, language: Language) -> list[tuple[str, SafeString]]:
    """What is drawn, each by its name, in the ink of paper."""
    fit_px = ALONE_PX if len(drawn) == 1 else BESIDE_PX
    said = words_of(language)["piece_in_words"]
    return [
        (
            label,
            mark_safe(drawing.for_paper(drawing_of(label, pieces, f"piece-{at}", fit_px, said))),
        )
        for at, (label, pieces) in enumerate(drawn)
    ]


def drawing_of(label: str, pieces: Sequence[Piece], ident: str, fit_px: float, said: str) -> str:
    """A piece as it will stand, unlettered; `said` is the drawing in words."""
    return drawing.assembly(
        pieces, ident=ident, title=label, with_marks=False, fit_px=fit_px, said=said
    )


def written(quotation: Quotation, *, is_draft: bool = False) -> Mapping[str, Any]:
    """Its amounts and days in words and figures, as a page shows them."""
    tongue, currency = Tongue(quotation.language), quotation.currency
    words = tongue.words
    issued_on = words["draft"].lower() if is_draft else tongue.day(quotation.issued_on)
    due_on, until = tongue.day(quotation.due_on), tongue.day(quotation.valid_until)
    gross = tongue.money(quotation.gross, currency)
    return {
        "words": words,
        "lang": tongue.tag,
        "mark": quotation.mark,
        "named": words["draft_of_quotation" if is_draft else "quotation"],
        "dates": [
            (words["quotation"], quotation.mark),
            (words["date"], issued_on),
            (words["valid_until"], until),
            *([(words["ready_by"], due_on)] if due_on else []),
        ],
        "short_date": issued_on if is_draft else tongue.short_day(quotation.issued_on),
        "short_until": tongue.short_day(quotation.valid_until),
        "made_from": tongue.said(
            "made_from", standard=quotation.standard_edition, rates=quotation.rate_edition
        ),
        "seller_tax": tongue.tax_number(quotation.tax_name, quotation.seller.tax_number),
        "client_tax": tongue.tax_number(quotation.tax_name, quotation.client.tax_number),
        "net_in": tongue.said("net_in", currency=currency),
        "items": [
            {
                "item": item,
                "place": place,
                "net": tongue.amount(item.net, currency),
                "opens_end": place == len(quotation.charged) - 1,
            }
            for place, item in enumerate(quotation.charged, start=1)
        ],
        "adjustments": [
            (one.label, tongue.amount(one.amount, currency)) for one in quotation.adjustments
        ],
        "net": tongue.amount(quotation.net, currency),
        "taxes": [
            {
                "words": tongue.tax_of(quotation.tax_name, group, currency),
                "tax": tongue.amount(group.tax, currency),
            }
            for group in quotation.taxes
        ],
        "gross": gross,
        "options": [
            {
                "option": option,
                "kind": words[f"option_{option.kind.value}"],
                "net": signed(tongue.amount(option.net, currency), option.net > 0),
            }
            for option in quotation.options
            if not option.is_taken
        ],
        "payments": [
            {
                "stage": stage,
                "share": tongue.rate(stage.percent),
                "amount": tongue.amount(stage.amount, currency),
            }
            for stage in quotation.stages
        ],
        "amount_in": tongue.said("amount_in", currency=currency),
        "made": [*_made(quotation, tongue)],
        "prose": [
            (words[key], text)
            for key in ("assumptions", "exclusions", "terms")
            if (text := getattr(quotation, key))
        ],
        "we_accept": tongue.said("we_accept", mark=quotation.mark, gross=gross, until=until),
    }


def _made(quotation: Quotation, tongue: Tongue) -> Sequence[tuple[str, str]]:
    """How it is made and when, as rows of a name and a text."""
    rows = [
        ("timber", quotation.timber),
        ("where_it_stands", quotation.exposure),
        ("glue", quotation.glue),
        ("finish", quotation.finish),
        ("lead_time", lead_time(quotation, tongue)),
    ]
    return [(tongue.words[key], text[:1].upper() + text[1:]) for key, text in rows if text]


def lead_time(quotation: Quotation, tongue: Tongue) -> str:
    """The lead time in words, or nothing."""
    if not quotation.lead_days:
        return ""
    return tongue.said(
        "working_days_from", days=quotation.lead_days, trigger=quotation.lead_trigger
    )


def signed(amount: str, is_more: bool) -> str:
    """A difference with its sign."""
    return f"+{amount}" if is_more else amount
