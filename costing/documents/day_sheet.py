"""The day sheet: one hand's day in working order, with what to fetch and codes to clock by."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any
from zoneinfo import ZoneInfo

from django.template.loader import render_to_string
from django.utils import timezone

from costing.documents.codes import qr_svg
from costing.documents.day_line import day_line
from costing.documents.press import printed
from costing.services.papers import Shop
from orders.core.figures import cautions
from orders.web.formats import full_day
from shop.services.days import DaySheet


def day_sheets_pdf(
    sheets: Sequence[DaySheet], shop: Shop, clock_address: Callable[[int], str]
) -> bytes:
    """The day sheets of one hand or more on one day, each with its own count of pages."""
    title = "" if len(sheets) == 1 else f"Day sheets, {full_day(sheets[0].on)}"
    with timezone.override(ZoneInfo(shop.time_zone)):
        return printed([_page(sheet, shop, clock_address) for sheet in sheets], title=title)


def _page(sheet: DaySheet, shop: Shop, clock_address: Callable[[int], str]) -> str:
    items: list[dict[str, Any]] = [
        {
            "item": item,
            "number": number,
            "code": qr_svg(
                clock_address(item.bar.operation_id),
                f"Code that opens the clock page of {item.bar.mark}",
            ),
            "minutes": item.setup_min + item.pieces * item.each_min,
        }
        for number, item in enumerate(sheet.items, start=1)
    ]
    return render_to_string(
        "documents/day_sheet.html",
        {
            "sheet": sheet,
            "shop": shop,
            "made_on": sheet.on,
            "project": sheet.hand,
            "items": items,
            "line": day_line(
                sheet.hours,
                [item.stretches for item in sheet.items],
                [row["number"] for row in items if row["item"].bar.meanwhile],
            ),
            "cautions": list(_cautions(sheet)),
        },
    )


def _cautions(sheet: DaySheet) -> Iterator[str]:
    known = cautions()
    for code in dict.fromkeys(item.caution for item in sheet.items):
        if code in known:
            yield known[code].text
