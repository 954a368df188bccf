"""Marks of parts and joints: short, unlike within an assembly, and given when none is chosen."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable

from .reading import Reader

NUMBERED = re.compile(r"([A-Z])(\d{1,6})")
WHAT = {"P": "part", "J": "joint"}


class Marks:
    """The marks of an assembly's parts (letter P) or joints (letter J), as they are given out.

    `used` are taken; `coming` are chosen by rows not read yet, so that none of them is given.
    """

    def __init__(self, letter: str, used: Iterable[str] = (), coming: Iterable[str] = ()) -> None:
        self.letter = letter
        self.used = set(used)
        self.highest = max(map(self._number, (*self.used, *coming)), default=0)

    def take(self, reader: Reader, given: str) -> str:
        """The mark chosen, or the next after the highest; a fault stays with the reader."""
        mark = reader.text("mark", given, "the mark", most=8)
        if mark in self.used:
            what = WHAT[self.letter]
            reader.refuse(
                "mark", f"This assembly already has a {what} {mark}; choose another mark."
            )
        mark = mark or f"{self.letter}{self.highest + 1}"
        self.highest = max(self.highest, self._number(mark))
        self.used.add(mark)
        return mark

    def _number(self, mark: str) -> int:
        found = NUMBERED.fullmatch(mark.strip())
        return int(found[2]) if found and found[1] == self.letter else 0


def next_mark(taken: Collection[str], letter: str) -> str:
    """The mark after the highest of its letter: P1, P2 ... or J1, J2 ..."""
    return Marks(letter, taken).take(Reader(), "")
