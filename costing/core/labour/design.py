"""Which effects bear on which work: families of effects laid out as columns of one model."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from costing.core.labour.change import Change
from costing.core.labour.clockings import Floats, Ints, codes_of
from costing.core.labour.priors import GROUPS, Priors

ALL_WORK, HARDNESS, SIZE, TREND, BATCH = range(5)
COMMON = 5
"""The first columns: a shift of all work, the powers of hardness, size and number, the trend."""

PER_ROW = COMMON + len(GROUPS)
SETUP, OPERATION, JOINT, CELL = range(COMMON, COMMON + 4)
OUTER = [ALL_WORK, HARDNESS, SIZE, TREND, *range(CELL + 1, PER_ROW)]
"""The columns that bear on set-up and unit time alike."""


class Work(Protocol):
    """What of a clocking or of planned work decides which effects bear on it."""

    @property
    def joint(self) -> str: ...
    @property
    def operation(self) -> str: ...
    @property
    def method(self) -> str: ...
    @property
    def hand(self) -> str: ...
    @property
    def day(self) -> float: ...


@dataclass(frozen=True, slots=True)
class Layout:
    """The column of every effect: family by family, and by name within a family."""

    columns: Mapping[str, Mapping[Hashable, int]]
    changes: tuple[Change, ...] = ()
    size: int = COMMON
    spans: Mapping[str, tuple[int, int]] = field(default_factory=dict)

    def rows_of(self, work: Sequence[Work]) -> Ints:
        """The columns that bear on each piece of work; shape (rows, PER_ROW).

        Work that no change bears on points at the shift of all work there, with value 0.
        """
        rows = np.zeros((len(work), PER_ROW), dtype=np.int64)
        rows[:, :COMMON] = range(COMMON)
        for place, group in enumerate(GROUPS, start=COMMON):
            names = names_of(group, work, self.changes)
            rows[:, place] = codes_of(names, {**self.columns[group], None: 0})
        return rows

    def extended(self, work: Sequence[Work]) -> "Layout":
        """This layout with columns for what it has not seen, after all others."""
        columns = {group: dict(known) for group, known in self.columns.items()}
        size = self.size
        for group in GROUPS:
            for name in names_of(group, work, self.changes):
                if name is not None and name not in columns[group]:
                    columns[group][name] = size
                    size += 1
        return Layout(columns=columns, changes=self.changes, size=size, spans=self.spans)

    def group_of_new(self, older: "Layout") -> list[str]:
        """The family of each column that `older` does not have, in their order."""
        new = {
            column: group
            for group, known in self.columns.items()
            for column in known.values()
            if column >= older.size
        }
        return [new[column] for column in sorted(new)]


def layout_of(work: Sequence[Work], changes: tuple[Change, ...] = ()) -> Layout:
    """Columns for all that bears on this work, families side by side and names in order."""
    columns: dict[str, dict[Hashable, int]] = {}
    spans: dict[str, tuple[int, int]] = {}
    size = COMMON
    for group in GROUPS:
        names = {name for name in names_of(group, work, changes) if name is not None}
        columns[group] = {name: size + place for place, name in enumerate(sorted(names, key=repr))}
        spans[group] = (size, size + len(names))
        size += len(names)
    return Layout(columns=columns, changes=changes, size=size, spans=spans)


def names_of(group: str, work: Sequence[Work], changes: tuple[Change, ...] = ()) -> list[Hashable]:
    """The name of the effect of this family on each piece of work."""
    if group in ("setup", "operation"):
        return [(row.operation, row.method) for row in work]
    if group == "joint":
        return [row.joint for row in work]
    if group == "cell":
        return [(row.joint, row.operation, row.method) for row in work]
    if group == "hand":
        return [row.hand or None for row in work]
    if group == "hand_operation":
        return [(row.hand, row.operation) if row.hand else None for row in work]
    return [_change_on(row, changes) for row in work] if changes else [None] * len(work)


def values_of(
    shares: Floats, rows: Ints, pieces: Floats, hardness: Floats, size: Floats, years: Floats
) -> Floats:
    """How much each effect bears on the logarithm of the minutes; shape (rows, PER_ROW).

    `shares` is the share of set-up in the minutes: set-up effects bear on that, effects of the
    unit time on the rest. `years` counts from today, below 0 in the past.
    """
    unit = 1.0 - shares
    always = np.ones_like(shares)
    values = np.stack(
        [
            always,
            hardness,
            size,
            years,
            unit * np.log(pieces),
            shares,
            unit,
            unit,
            unit,
            always,
            always,
            always,
        ],
        axis=1,
    )
    values[:, COMMON:][rows[:, COMMON:] == 0] = 0.0
    return values


def prior_variances(layout: Layout, priors: Priors, spreads2: Mapping[str, float]) -> Floats:
    """The prior variance of every column."""
    variances = np.empty(layout.size)
    variances[:COMMON] = [
        priors.all_work**2,
        priors.hardness**2,
        priors.size**2,
        priors.trend**2,
        priors.batch**2,
    ]
    for group, (start, end) in layout.spans.items():
        variances[start:end] = spreads2[group]
    return variances


def _change_on(row: Work, changes: tuple[Change, ...]) -> Hashable:
    """The latest change that bears on this work."""
    found = [change for change in changes if change.bears_on(row)]
    return max(found, key=lambda change: change.day) if found else None
