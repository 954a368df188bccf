"""Marks of parts and joints: short, unlike within an assembly, and given when none is chosen."""

from __future__ import annotations

import re
from collections.abc import Collection

from .reading import Reader

NUMBERED = re.compile(r"([A-Z])(\d{1,6})")


def read_mark(reader: Reader, given: str, taken: Collection[str], *, letter: str, what: str) -> str:
    """The mark chosen, or the next after the highest in use: P1, P2 ... or J1, J2 ..."""
    mark = reader.text("mark", given, "the mark", most=8)
    if not mark:
        return next_mark(taken, letter)
    if mark in taken:
        reader.refuse("mark", f"This assembly already has a {what} {mark}; choose another mark.")
    return mark


def next_mark(taken: Collection[str], letter: str) -> str:
    """The mark after the highest of its letter."""
    found = (NUMBERED.fullmatch(mark) for mark in taken)
    numbers = [int(match[2]) for match in found if match and match[1] == letter]
    return f"{letter}{max(numbers, default=0) + 1}"
