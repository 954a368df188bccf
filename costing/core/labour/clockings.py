"""Clockings as columns of numbers, each batch once, in an order that does not matter."""

import math
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from orders.core.errors import RuleBroken, RulesBroken

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

LONGEST_MIN = 1e6
MOST_FAULTS = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchClocking:
    """All that was clocked by one hand on one batch: `pieces` made in `taken_min`.

    `setup_min` and `each_min` are the standard for this very work, with all that the standard
    makes of species and size; `hardness_ratio` and `size_ratio` say how it differs from the
    reference, for what the standard makes too little or too much of. `day` counts days on any
    calendar. Two clockings of one `key` are the same clocking. A clocking is vouched for when a
    person says that it is what it says, however odd it looks.
    """

    key: str
    joint: str
    operation: str
    hand: str
    order: str
    taken_min: float
    each_min: float
    setup_min: float = 0.0
    pieces: int = 1
    method: str = "hand"
    hardness_ratio: float = 1.0
    size_ratio: float = 1.0
    day: float = 0.0
    is_vouched: bool = False

    def faults(self) -> list[RuleBroken]:
        """Every figure that cannot be."""
        faults = []
        for name in ("taken_min", "each_min", "hardness_ratio", "size_ratio"):
            value: float = getattr(self, name)
            if not (math.isfinite(value) and 0 < value <= LONGEST_MIN):
                faults.append(RuleBroken(name, "Give a figure of more than 0."))
        if not 0 <= self.setup_min <= LONGEST_MIN:
            faults.append(RuleBroken("setup_min", "Set-up minutes are 0 or more."))
        if self.pieces < 1:
            faults.append(RuleBroken("pieces", "A clocking is for at least one piece."))
        if not math.isfinite(self.day):
            faults.append(RuleBroken("day", "Give the day as a number."))
        return faults


@dataclass(frozen=True, slots=True)
class Table:
    """Clockings as columns of equal length, sorted by day and key; names are in `clockings`."""

    clockings: tuple[BatchClocking, ...]
    taken_min: Floats
    setup_min: Floats
    each_min: Floats
    pieces: Floats
    hardness: Floats
    size: Floats
    day: Floats
    vouched: Bools

    def __len__(self) -> int:
        return len(self.clockings)


def table_of(clockings: Sequence[BatchClocking]) -> Table:
    """Clockings by day and key, the second of a key left out.

    Raises RulesBroken for figures that cannot be, naming "clockings/<place>/<field>".
    """
    _check(clockings)
    once = {clocking.key: clocking for clocking in reversed(clockings)}
    rows = tuple(sorted(once.values(), key=lambda row: (row.day, row.key)))
    return Table(
        clockings=rows,
        taken_min=np.array([row.taken_min for row in rows], dtype=float),
        setup_min=np.array([row.setup_min for row in rows], dtype=float),
        each_min=np.array([row.each_min for row in rows], dtype=float),
        pieces=np.array([row.pieces for row in rows], dtype=float),
        hardness=np.log(np.array([row.hardness_ratio for row in rows], dtype=float)),
        size=np.log(np.array([row.size_ratio for row in rows], dtype=float)),
        day=np.array([row.day for row in rows], dtype=float),
        vouched=np.array([row.is_vouched for row in rows], dtype=np.bool_),
    )


def codes_of(names: Sequence[Hashable], known: Mapping[Hashable, int]) -> Ints:
    """The number of each name."""
    return np.fromiter((known[name] for name in names), dtype=np.int64, count=len(names))


def _check(clockings: Sequence[BatchClocking]) -> None:
    faults: list[RuleBroken] = []
    for place, clocking in enumerate(clockings):
        faults += [fault.under(f"clockings/{place}") for fault in clocking.faults()]
        if len(faults) >= MOST_FAULTS:
            break
    if faults:
        raise RulesBroken(faults)
