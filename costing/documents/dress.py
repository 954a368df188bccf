"""How papers of one workshop look: its logo and its colour."""

from __future__ import annotations

from dataclasses import dataclass

from costing.documents.press import picture
from shop.models import Workshop
from shop.services.letterhead import logo_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Dress:
    """The look of papers. `logo` is a PNG, `accent` a colour as #rrggbb; either may be empty."""

    logo: bytes = b""
    accent: str = ""

    @property
    def logo_address(self) -> str:
        """The logo as a paper may show it."""
        return picture(self.logo) if self.logo else ""


PLAIN = Dress()


def dress_of(workshop: Workshop) -> Dress:
    """How the papers of a workshop look."""
    return Dress(logo=logo_of(workshop), accent=workshop.accent)
