"""How large a document a calculator takes, and how long it may search."""

from __future__ import annotations

from dataclasses import dataclass

from orders.core.errors import RuleBroken


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The most that one question may ask for.

    `seconds` are those of a search, `work_min` the minutes of all tasks together, `span_min` those
    from the start of each to its end, pauses included, `openings` the lines of all calendars.
    `trials` are attempts at a cutting plan times pieces times kinds of stock, which the time for it
    grows with.
    """

    document_bytes: int
    seconds: float
    tasks: int
    work_min: float
    span_min: float
    openings: int
    horizon_days: int
    pieces: int
    stock: int
    trials: int


UNHURRIED = Limits(
    document_bytes=20_000_000,
    seconds=3_600,
    tasks=10_000,
    work_min=1e9,
    span_min=1e12,
    openings=100_000,
    horizon_days=3_650,
    pieces=100_000,
    stock=10_000,
    trials=10**12,
)
"""At the command line, where whoever asks waits for the answer."""

SHORT = Limits(
    document_bytes=500_000,
    seconds=3,
    tasks=150,
    work_min=60_000,
    span_min=1_000_000,
    openings=300,
    horizon_days=184,
    pieces=300,
    stock=10,
    trials=120_000,
)
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
