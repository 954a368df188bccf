"""The letterhead: language, colour, logo and bank account that stand on a workshop's papers."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from django.db import transaction
from PIL import Image, UnidentifiedImageError
from stdnum import iban
from stdnum.exceptions import ValidationError as NotAnAccount

from orders.core.countries import countries
from orders.core.errors import RuleBroken
from orders.core.language import language_of
from shop.models import Logo, Workshop

from .stations import require_valid, set_fields

FIELDS = {"accent", "country", "language", "iban"}
LARGEST_FILE = 2_000_000
LARGEST_SIDE_PX = 8_000
KINDS = ("PNG", "JPEG", "GIF", "WEBP")
PRINTED_PX = (1_200, 480)


@transaction.atomic
def change_letterhead(workshop: Workshop, *, version: int | None = None, **fields: Any) -> Workshop:
    """Change accent, country, language or iban.

    Raises RuleBroken or RulesBroken for what cannot be, Stale if somebody else changed it.
    """
    workshop = Workshop.objects.select_for_update().get(pk=workshop.pk)
    workshop.require_version(version)
    set_fields(workshop, fields, FIELDS)
    workshop.country = checked_country(workshop.country)
    workshop.iban = checked_account(workshop.iban)
    language_of(workshop.language)
    require_valid(workshop)
    workshop.save_next()
    return workshop


@transaction.atomic
def set_logo(workshop: Workshop, picture: bytes) -> Logo:
    """Keep a picture as the logo, made ready for print: a PNG of at most 1200 by 480 points.

    Raises RuleBroken if it is no picture, or far too large.
    """
    row, _ = Logo.objects.update_or_create(workshop=workshop, defaults={"png": printable(picture)})
    return row


def take_logo_away(workshop: Workshop) -> None:
    """Have papers without a logo."""
    Logo.objects.of(workshop).delete()


def logo_of(workshop: Workshop) -> bytes:
    """The logo as a PNG, empty if there is none."""
    found = Logo.objects.of(workshop).values_list("png", flat=True).first()
    return bytes(found) if found else b""


def printable(picture: bytes) -> bytes:
    """A picture as it is printed, with nothing left of the file it came in.

    Raises RuleBroken if it is no picture, or far too large.
    """
    if len(picture) > LARGEST_FILE:
        raise RuleBroken("logo", "The file is larger than 2 MB; give a smaller picture.")
    try:
        with Image.open(BytesIO(picture), formats=KINDS) as opened:
            opened.verify()
        with Image.open(BytesIO(picture), formats=KINDS) as opened:
            if max(opened.size) > LARGEST_SIDE_PX:
                raise RuleBroken("logo", f"A side has more than {LARGEST_SIDE_PX:,} points.")
            drawn = opened.convert("RGBA")
    except (UnidentifiedImageError, OSError, SyntaxError, Image.DecompressionBombError) as fault:
        raise RuleBroken("logo", "This is no picture; give a PNG or JPEG file.") from fault
    drawn.thumbnail(PRINTED_PX)
    made = BytesIO()
    drawn.save(made, "PNG", optimize=True)
    return made.getvalue()


def checked_country(code: str) -> str:
    """The two letters of a country in capitals, or ""; raises RuleBroken for any other."""
    letters = code.strip().upper()
    if letters and letters not in countries():
        raise RuleBroken("country", f"“{code}” is not a country; give its two letters, as IE.")
    return letters


def checked_account(number: str) -> str:
    """An account number without spaces, or ""; raises RuleBroken if its check digits are wrong.

    Source: ISO 13616 (IBAN), check digits of ISO 7064.
    """
    if not number.strip():
        return ""
    try:
        return str(iban.validate(number))
    except NotAnAccount:
        raise RuleBroken(
            "iban", "This is not an account number (IBAN); read its check digits again."
        ) from None
