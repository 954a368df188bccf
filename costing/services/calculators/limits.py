"""How large a document a calculator takes, and how long it may search."""

from __future__ import annotations

from dataclasses import dataclass

from orders.core.errors import RuleBroken


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The most that one question may ask for."""

    document_bytes: int
    seconds: float
    tasks: int
    pieces: int
    attempts: int


UNHURRIED = Limits(
    document_bytes=20_000_000, seconds=3_600, tasks=10_000, pieces=100_000, attempts=100_000
)
"""At the command line, where whoever asks waits for the answer."""

SHORT = Limits(document_bytes=500_000, seconds=3, tasks=150, pieces=2_000, attempts=200)
"""Where others wait behind the question."""


def require_size(text: bytes, limits: Limits) -> None:
    """Raise RuleBroken for a document that is too large to be read."""
    require("", len(text), limits.document_bytes, "bytes in a document")


def require(field: str, wanted: float, most: float, noun: str) -> None:
    """Raise RuleBroken where more is asked for than is done here."""
    if wanted > most:
        raise RuleBroken(
            field,
            f"At most {most:,} {noun} here, and this is {wanted:,}; ask for less, or ask at the"
            " command line: python -m shop calculate.",
            nearest=most,
        )
