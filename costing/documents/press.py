"""The press: pages of HTML in, one PDF out, with nothing fetched but our own letters.

The same pages give the same bytes, so that a hash of them means something: nothing in the file
tells the time or the machine, and its identifier follows from what is printed.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from email.message import EmailMessage
from enum import StrEnum
from functools import lru_cache
from itertools import chain
from pathlib import Path
from threading import Lock
from typing import Any

from django.template.loader import render_to_string
from weasyprint import CSS, HTML, Attachment, Document
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

import shop

STYLE = "documents/print.css"
LETTERS = "letters:"
FONTS = Path(shop.__file__).parent / "static" / "shop" / "fonts"
CLOCK = "SOURCE_DATE_EPOCH"
"""The variable by which programs agree on the hour to write into files."""
_ONE_AT_A_TIME = Lock()


class Kind(StrEnum):
    """What a file is written as: to be kept for years, or to be read aloud."""

    ARCHIVE = "pdf/a-3a"
    ACCESSIBLE = "pdf/ua-1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Enclosure:
    """A file that travels inside a paper, from which the paper was made."""

    name: str
    description: str
    text: str
    on: date


class OwnLetters(URLFetcher):  # type: ignore[misc]
    """Fetches the packaged typefaces by name; refuses every other address, file or network."""

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
        """The bytes of one of our typefaces; raises ValueError for anything else."""
        letters = typefaces().get(url)
        if letters is None:
            raise ValueError(f"A paper may use packaged typefaces only, not {url}")
        kind = EmailMessage()
        kind["Content-Type"] = "font/woff2"
        return URLFetcherResponse(url, letters, kind)


@lru_cache(maxsize=1)
def typefaces() -> dict[str, bytes]:
    """Our typefaces, by the address that the print stylesheet gives them."""
    return {f"{LETTERS}{file.name}": file.read_bytes() for file in sorted(FONTS.glob("*.woff2"))}


@lru_cache(maxsize=1)
def _type_case() -> tuple[CSS, FontConfiguration]:
    """The print stylesheet and its letters, read once."""
    letters = FontConfiguration()
    sheet = CSS(
        string=render_to_string(STYLE),
        base_url=LETTERS,
        font_config=letters,
        url_fetcher=OwnLetters(),
    )
    return sheet, letters


def printed(
    pages: Sequence[str],
    *,
    title: str = "",
    kind: Kind = Kind.ACCESSIBLE,
    enclosures: Sequence[Enclosure] = (),
) -> bytes:
    """One PDF of several papers, each an HTML document that counts its own pages.

    The file has the title of its first paper unless it is given one.
    """
    with _ONE_AT_A_TIME, _stopped_clock():
        laid_out = [_laid_out(page, kind) for page in pages]
        whole = laid_out[0].copy(list(chain.from_iterable(one.pages for one in laid_out)))
        whole.metadata.title = title or whole.metadata.title
        found = whole.write_pdf(
            pdf_variant=str(kind),
            pdf_identifier=_fingerprint(pages),
            attachments=[_attached(one) for one in enclosures],
        )
    return bytes(found)


@contextmanager
def _stopped_clock() -> Iterator[None]:
    """While a file is written, typefaces that are cut down to size do not tell the hour."""
    before = os.environ.get(CLOCK)
    os.environ[CLOCK] = "0"
    try:
        yield
    finally:
        os.environ.pop(CLOCK)
        if before is not None:
            os.environ[CLOCK] = before


def _laid_out(page: str, kind: Kind) -> Document:
    style, letters = _type_case()
    return HTML(string=page, base_url=LETTERS, url_fetcher=OwnLetters()).render(
        font_config=letters, stylesheets=[style], pdf_variant=str(kind)
    )


def _fingerprint(pages: Sequence[str]) -> bytes:
    whole = hashlib.sha256()
    for page in pages:
        whole.update(page.encode())
    return whole.hexdigest()[:32].encode()


def _attached(one: Enclosure) -> Attachment:
    at = datetime.combine(one.on, time(), UTC)
    return Attachment(
        string=one.text,
        name=one.name,
        description=one.description,
        created=at,
        modified=at,
        relationship="Source",
    )
