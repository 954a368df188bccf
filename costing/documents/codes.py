"""Codes that lead from paper to a page: QR symbols as line work."""

from __future__ import annotations

from functools import lru_cache

import segno
from django.utils.safestring import SafeString, mark_safe

QUIET_MODULES = 2
"""The white around the symbol; the cell it stands in adds the other two of the standard's four."""


@lru_cache(maxsize=4096)
def qr_svg(address: str, title: str) -> SafeString:
    """The symbol of an address, named in words; read even when a sixth of it is stained (level M)."""
    symbol = segno.make_qr(address, error="m")
    drawn = symbol.svg_inline(
        border=QUIET_MODULES, omitsize=True, svgclass="qr", lineclass=None, title=title
    )
    return mark_safe(drawn)
