"""What the clockings say of the standards, cell by cell, and which clockings look wrong."""

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from costing.core.labour.clockings import BatchClocking, Floats
from costing.core.labour.design import ALL_WORK
from costing.core.labour.model import Fitted, Learned
from costing.core.labour.predict import NOW
from orders.core.errors import RuleBroken

LOOKS_WRONG = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedStandard:
    """What one operation on one joint type takes, as a share of the standard in force.

    `each_ratio` with its interval is for the minutes of a piece, `setup_ratio` for those of the
    set-up. `weight` says how far the clockings, rather than the standard, made the ratio: 0 to 1.
    `effective` is the number of clockings, faded with age and less those that look wrong.
    """

    joint: str
    operation: str
    method: str
    clockings: int
    effective: float
    each_ratio: float
    each_low: float
    each_high: float
    setup_ratio: float
    setup_low: float
    setup_high: float
    weight: float

    def is_worth_proposing(self, least_change: float = 0.10) -> bool:
        """Whether the interval leaves the standard out, and the change is more than slight."""
        return not self.each_low <= 1 <= self.each_high and abs(self.each_ratio - 1) > least_change


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A clocking that looks wrong, for a person to judge: `ratio` is taken over expected."""

    clocking: BatchClocking
    ratio: float
    chance_wrong: float


def standards_of(learned: Fitted, *, confidence: float = 0.80) -> tuple[LearnedStandard, ...]:
    """One for each joint type, operation and method that was clocked, in alphabetical order.

    Raises RuleBroken for a confidence that is none.
    """
    if not 0 < confidence < 1:
        raise RuleBroken("confidence", "Confidence lies between 0 and 1: 0.8 for 80 %.")
    reach = NormalDist().inv_cdf((1 + confidence) / 2)
    counts = _counts(learned)
    return tuple(_standard(learned, cell, counts[cell], reach) for cell in sorted(counts, key=repr))


def suspects_of(learned: Fitted) -> tuple[Suspect, ...]:
    """The clockings that are more likely wrong than sound, the likeliest first."""
    found = np.flatnonzero(learned.soundness < LOOKS_WRONG)
    ranked = sorted(found, key=lambda place: (learned.soundness[place], place))
    return tuple(
        Suspect(
            clocking=learned.table.clockings[place],
            ratio=math.exp(learned.residuals[place]),
            chance_wrong=1 - float(learned.soundness[place]),
        )
        for place in ranked
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class HandFactor:
    """A hand's minutes as a share of what is usual here, at one operation or ("") at all of them."""

    hand: str
    operation: str
    factor: float
    low: float
    high: float


def hand_factors(learned: Learned, *, confidence: float = 0.80) -> tuple[HandFactor, ...]:
    """How each hand's minutes compare with what is usual here; for the owner and that hand only."""
    reach = NormalDist().inv_cdf((1 + confidence) / 2)
    hands = learned.layout.columns["hand"]
    pairs = sorted(learned.layout.columns["hand_operation"].items(), key=repr)
    whole = [_hand_factor(learned, str(hand), "", [hands[hand]], reach) for hand in hands]
    single = [
        _hand_factor(learned, pair[0], pair[1], [hands[pair[0]], column], reach)
        for pair, column in pairs
        if isinstance(pair, tuple)
    ]
    return (*whole, *single)


def _hand_factor(
    learned: Learned, hand: str, operation: str, columns: list[int], reach: float
) -> HandFactor:
    mean = float(learned.effects[columns].sum())
    spread = math.sqrt(max(0.0, float(learned.covariance[np.ix_(columns, columns)].sum())))
    return HandFactor(
        hand=hand,
        operation=operation,
        factor=math.exp(mean),
        low=math.exp(mean - reach * spread),
        high=math.exp(mean + reach * spread),
    )


Cell = tuple[str, str, str]


def _counts(learned: Fitted) -> dict[Cell, tuple[int, float]]:
    """Clockings of each cell, all and effective."""
    counts: dict[Cell, tuple[int, float]] = {}
    effective = learned.soundness * learned.freshness
    for row, part in zip(learned.table.clockings, effective, strict=True):
        cell = (row.joint, row.operation, row.method)
        number, total = counts.get(cell, (0, 0.0))
        counts[cell] = (number + 1, total + float(part))
    return counts


def _standard(
    learned: Fitted, cell: Cell, counted: tuple[int, float], reach: float
) -> LearnedStandard:
    each, each_sd = _logarithm(learned, cell, ("operation", "joint", "cell", "change"))
    setup, setup_sd = _logarithm(learned, cell, ("setup", "change"))
    before = sum(learned.variances[group] for group in ("operation", "joint", "cell"))
    before += learned.priors.all_work**2
    return LearnedStandard(
        joint=cell[0],
        operation=cell[1],
        method=cell[2],
        clockings=counted[0],
        effective=counted[1],
        each_ratio=math.exp(each),
        each_low=math.exp(each - reach * each_sd),
        each_high=math.exp(each + reach * each_sd),
        setup_ratio=math.exp(setup),
        setup_low=math.exp(setup - reach * setup_sd),
        setup_high=math.exp(setup + reach * setup_sd),
        weight=max(0.0, 1 - each_sd**2 / before),
    )


def _logarithm(learned: Fitted, cell: Cell, groups: tuple[str, ...]) -> tuple[float, float]:
    """The logarithm of a cell's ratio and its spread, for any of the hands."""
    weights = _weights(learned, cell, groups)
    variance = float(weights @ learned.covariance @ weights)
    return float(weights @ learned.effects), math.sqrt(max(0.0, variance))


def _weights(learned: Fitted, cell: Cell, groups: tuple[str, ...]) -> Floats:
    joint, operation, method = cell
    columns = learned.layout.columns
    weights = np.zeros(learned.layout.size)
    weights[ALL_WORK] = 1
    names = {
        "setup": (operation, method),
        "operation": (operation, method),
        "joint": joint,
        "cell": cell,
        "change": _change(learned, cell),
    }
    for group in groups:
        column = columns[group].get(names[group])
        if column is not None:
            weights[column] = 1
    for hand in learned.hands:
        weights[columns["hand"][hand]] = 1 / len(learned.hands)
        column = columns["hand_operation"].get((hand, operation))
        if column is not None:
            weights[column] = 1 / len(learned.hands)
    return weights


def _change(learned: Fitted, cell: Cell) -> object:
    joint, operation, method = cell
    found = [
        change
        for change in learned.layout.changes
        if (change.operation, change.method) == (operation, method)
        and change.joint in ("", joint)
        and change.day <= NOW
    ]
    return max(found, key=lambda change: change.day) if found else None
