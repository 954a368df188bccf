"""The press: pages of HTML in, one PDF out, with nothing fetched but our own letters.

The same pages give the same bytes, so that a hash of them means something: nothing in the file
tells the time or the machine, and its identifier follows from what is printed.
"""

from __future__ import annotations

import hashlib
import os
from base64 import b64decode, b64encode
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
from lxml import etree
from weasyprint import CSS, HTML, Attachment, Document
from weasyprint.pdf.metadata import DocumentMetadata
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

import shop

STYLE = "documents/print.css"
LETTERS = "letters:"
PICTURE = "data:image/png;base64,"
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
    """A file that travels inside a paper: what it was made from, or the same as data."""

    name: str
    description: str
    text: str
    on: date
    is_the_same: bool = False


class OwnLetters(URLFetcher):  # type: ignore[misc]
    """Fetches packaged typefaces by name, and pictures that stand in the page itself.

    Refuses every other address, file or network.
    """

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
        """The bytes of a typeface or of a PNG; raises ValueError for anything else."""
        if url.startswith(PICTURE):
            return _answer(url, b64decode(url.removeprefix(PICTURE)), "image/png")
        letters = typefaces().get(url)
        if letters is None:
            raise ValueError(f"A paper may use packaged typefaces only, not {url}")
        return _answer(url, letters, "font/woff2")


def picture(png: bytes) -> str:
    """A PNG as an address that a paper may show."""
    return f"{PICTURE}{b64encode(png).decode()}"


def _answer(url: str, content: bytes, kind: str) -> URLFetcherResponse:
    head = EmailMessage()
    head["Content-Type"] = kind
    return URLFetcherResponse(url, content, head)


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
    described: Sequence[bytes] = (),
) -> bytes:
    """One PDF of several papers, each an HTML document that counts its own pages.

    The file has the title of its first paper unless it is given one. `described` are descriptions
    (RDF in XML) that stand in its metadata beside our own.
    """
    with _ONE_AT_A_TIME, _stopped_clock():
        laid_out = [_laid_out(page, kind) for page in pages]
        whole = laid_out[0].copy(list(chain.from_iterable(one.pages for one in laid_out)))
        whole.metadata.title = title or whole.metadata.title
        if described:
            whole.metadata = Described(whole.metadata, described)
        found = whole.write_pdf(
            pdf_variant=str(kind),
            pdf_identifier=_fingerprint(pages),
            attachments=[_attached(one) for one in enclosures],
        )
    return bytes(found)


class Described(DocumentMetadata):  # type: ignore[misc]
    """What a file says of itself, with descriptions of others in the same RDF.

    XMP has one RDF element and no second. Source: ISO 16684-1, 7.4.
    """

    def __init__(self, plain: DocumentMetadata, described: Sequence[bytes]) -> None:
        super().__init__(**vars(plain))
        self.described = described

    def generate_rdf_metadata(self, *form: Any) -> bytes:
        """The RDF of the file."""
        rdf = etree.fromstring(super().generate_rdf_metadata(*form))
        rdf.extend(etree.fromstring(one) for one in self.described)
        return bytes(etree.tostring(rdf, encoding="utf-8"))


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
        relationship="Alternative" if one.is_the_same else "Source",
    )
