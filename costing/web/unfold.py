"""Figures that unfold: native details, each line adding up from those within it."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from costing.core.lines import Line
from orders.web.formats import amount


def unfolding(lines: Iterable[Line], currency: str, *, depth: int = 99) -> SafeString:
    """The lines as nested details, `depth` levels deep; written in one go, for there are many."""
    return mark_safe("".join(_line(line, currency, depth) for line in lines))


def _line(line: Line, currency: str, depth: int) -> str:
    made_of = f' <span class="quiet">{escape(line.make_up)}</span>' if line.make_up else ""
    row = (
        f"<span>{escape(line.label)}{made_of}</span>"
        f'<span class="num">{amount(line.amount, currency)}</span>'
    )
    if not line.children or depth <= 1:
        return f"<p>{row}</p>"
    within = "".join(_line(child, currency, depth - 1) for child in line.children)
    return f"<details><summary>{row}</summary>{within}</details>"
