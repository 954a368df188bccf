"""Figures that unfold: native details, each line adding up from those within it.

What lies deeper than a page shows at once is fetched when a line is opened; without the script a
link within it opens the same lines on the page.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from costing.core.lines import Line
from orders.web.formats import amount


@dataclass(frozen=True, slots=True, kw_only=True)
class Deeper:
    """The addresses of what lies within a line: as a fragment, and as a page with it open."""

    fragment: Callable[[Line], str]
    page: Callable[[Line], str]


def unfolding(
    lines: Iterable[Line],
    currency: str,
    *,
    depth: int = 99,
    opened: Sequence[Line] = (),
    deeper: Deeper | None = None,
) -> SafeString:
    """The lines as nested details, `depth` levels deep; written in one go, for there are many.

    Those in `opened` stand open. Where the levels end, `deeper` says how to go on; without it
    lines end there.
    """
    keys = frozenset(line.key for line in opened)
    return mark_safe("".join(_line(line, currency, depth, keys, deeper) for line in lines))


def path_to(lines: Iterable[Line], key: str) -> tuple[Line, ...]:
    """The lines from the top to the one of this key, that one included; none if there is none."""
    for line in lines:
        if line.key == key:
            return (line,)
        if below := path_to(line.children, key):
            return (line, *below)
    return ()


def _line(
    line: Line, currency: str, depth: int, opened: frozenset[str], deeper: Deeper | None
) -> str:
    made_of = f' <span class="quiet">{escape(line.make_up)}</span>' if line.make_up else ""
    row = (
        f"<span>{escape(line.label)}{made_of}</span>"
        f'<span class="num">{amount(line.amount, currency)}</span>'
    )
    is_open = line.key in opened
    if not line.children or (depth <= 1 and deeper is None):
        return f"<p>{row}</p>"
    if depth <= 1 and deeper is not None and not is_open:
        return (
            f'<details data-unfold="{escape(deeper.fragment(line))}"><summary>{row}</summary>'
            f'<p><a href="{escape(deeper.page(line))}">What {escape(line.label)} adds up from'
            "</a></p></details>"
        )
    within = "".join(_line(child, currency, depth - 1, opened, deeper) for child in line.children)
    return f"<details{' open' if is_open else ''}><summary>{row}</summary>{within}</details>"
