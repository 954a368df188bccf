"""How papers of one workshop look: its logo and its colour."""

from __future__ import annotations

from dataclasses import dataclass

from costing.documents.press import picture

INK = "#10181e"


@dataclass(frozen=True, slots=True, kw_only=True)
class Dress:
    """The look of papers. `logo` is a PNG, or empty; `accent` a colour as #rrggbb."""

    logo: bytes = b""
    accent: str = INK

    @property
    def logo_address(self) -> str:
        """The logo as a paper may show it."""
        return picture(self.logo) if self.logo else ""


PLAIN = Dress()
