"""Reading a PDF back: its pages, its words, its fonts, what it is made of."""

from __future__ import annotations

import subprocess
from functools import lru_cache
from io import BytesIO

import pikepdf

OURS = ("Besley", "Sofia")


@lru_cache(maxsize=8)
def opened(paper: bytes) -> pikepdf.Pdf:
    """The file, opened; kept, since what is found in it lives no longer than it."""
    return pikepdf.open(BytesIO(paper))


def words(paper: bytes, page: int | None = None) -> str:
    """The words of all pages or of one, as a reader of the screen would copy them."""
    which = [] if page is None else ["-f", str(page), "-l", str(page)]
    run = subprocess.run(
        ["pdftotext", "-layout", *which, "-", "-"], input=paper, capture_output=True, check=True
    )
    return run.stdout.decode().replace("\u00a0", " ").replace("\u202f", " ")


def prose(paper: bytes) -> str:
    """The words cell by cell, with single spaces, so that a wrapped sentence is whole."""
    run = subprocess.run(
        ["pdftotext", "-raw", "-", "-"], input=paper, capture_output=True, check=True
    )
    return " ".join(run.stdout.decode().split())


def pages(paper: bytes) -> list[str]:
    """The words of each page."""
    return words(paper).split("\f")[:-1]


def fonts(paper: bytes) -> dict[str, bool]:
    """The typefaces by name, and whether each is embedded."""
    found = {}
    for thing in opened(paper).objects:
        if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/FontDescriptor":
            found[str(thing["/FontName"])] = any(
                key in thing for key in ("/FontFile", "/FontFile2", "/FontFile3")
            )
    return found


def elements(paper: bytes, kind: str) -> list[pikepdf.Dictionary]:
    """The tagged elements of one kind."""
    return [
        thing
        for thing in opened(paper).objects
        if isinstance(thing, pikepdf.Dictionary)
        and thing.get("/Type") == "/StructElem"
        and thing.get("/S") == kind
    ]


def alternatives(paper: bytes) -> list[str]:
    """What the figures say in words."""
    return [str(figure["/Alt"]) for figure in elements(paper, "/Figure") if "/Alt" in figure]
