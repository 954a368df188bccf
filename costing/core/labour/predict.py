"""How many hours an order will take, and how sure that is, from what was learned.

The minutes of all batches are summed by their means and covariances, and the total is taken to be
lognormal.

Source: Fenton, IRE Transactions on Communications Systems 8 (1960), from memory, unverified.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from costing.core.distribution import Distribution, Moments, distribution_of
from costing.core.labour.clockings import Floats
from costing.core.labour.design import ALL_WORK, OUTER, Layout, values_of
from costing.core.labour.model import Learned, minutes_at
from orders.core.errors import RuleBroken, RulesBroken

NOW = float("inf")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedBatch:
    """Work to be done: `pieces` of one operation on one joint type, at standard minutes.

    An empty `hand` is any of the hands. Everything else is as in a clocking of the batch.
    """

    joint: str
    operation: str
    each_min: float
    setup_min: float = 0.0
    pieces: int = 1
    method: str = "hand"
    hand: str = ""
    hardness_ratio: float = 1.0
    size_ratio: float = 1.0

    @property
    def day(self) -> float:
        """It is done after every change."""
        return NOW

    def faults(self) -> list[RuleBroken]:
        """Every figure that cannot be."""
        faults = [
            RuleBroken(name, "Give a figure of more than 0.")
            for name in ("hardness_ratio", "size_ratio")
            if not 0 < getattr(self, name) < NOW
        ]
        faults += [
            RuleBroken(name, "Minutes are 0 or more.")
            for name in ("each_min", "setup_min")
            if not 0 <= getattr(self, name) < NOW
        ]
        if self.pieces < 1:
            faults.append(RuleBroken("pieces", "Plan at least one piece."))
        return faults


def hours_of(learned: Learned, batches: Sequence[PlannedBatch]) -> Distribution:
    """The hours of one order: what to expect, P50, P80 and P90.

    With nothing learned the mean is that of the standards. Raises RulesBroken for figures that
    cannot be, naming "batches/<place>/<field>".
    """
    faults = [
        fault.under(f"batches/{place}")
        for place, batch in enumerate(batches)
        for fault in batch.faults()
    ]
    if faults:
        raise RulesBroken(faults)
    busy = [batch for batch in batches if batch.each_min or batch.setup_min]
    if not busy:
        return distribution_of(Moments())
    means, shared = moments_of(learned, busy)
    hours = means / 60
    variance = float((np.outer(hours, hours) * np.expm1(shared)).sum())
    return distribution_of(Moments(mean=float(hours.sum()), variance=variance))


def moments_of(learned: Learned, batches: Sequence[PlannedBatch]) -> tuple[Floats, Floats]:
    """The mean minutes of each batch, and the covariances of their logarithms."""
    layout = learned.layout.extended(batches)
    rows = layout.rows_of(batches)
    effects, covariance = _extended(learned, layout)
    work = _Columns(batches)
    share, minutes = minutes_at(effects, rows, work)
    values = values_of(share, rows, work.pieces, work.hardness, work.size, np.zeros(len(batches)))
    anybody = _any_hand(learned, layout, batches)
    gradient = anybody.copy()
    np.add.at(gradient, (np.arange(len(batches))[:, None], rows), values)
    shifts = (values[:, OUTER] * effects[rows[:, OUTER]]).sum(axis=1) + anybody @ effects
    shared = gradient @ covariance @ gradient.T
    shifts = shifts + _heard_of(learned) * np.diag(shared) / 2
    shared = shared + learned.variances["order"]
    shared[np.diag_indices(len(batches))] += _own_variance(learned, batches)
    return minutes * np.exp(shifts), shared


def _heard_of(learned: Learned) -> float:
    """How far the shift of all work was learned: 0 without a clocking, towards 1 with many.

    What is not known of a time makes its mean greater, as that of any lognormal. Without a clocking
    the standards stand for means as they are; with clockings the one gives way to the other.
    """
    variance = float(learned.covariance[ALL_WORK, ALL_WORK])
    return max(0.0, 1 - variance / learned.priors.all_work**2)


class _Columns:
    """Planned batches as columns of numbers."""

    def __init__(self, batches: Sequence[PlannedBatch]) -> None:
        self.setup_min = np.array([batch.setup_min for batch in batches], dtype=float)
        self.each_min = np.array([batch.each_min for batch in batches], dtype=float)
        self.pieces = np.array([batch.pieces for batch in batches], dtype=float)
        self.hardness = np.log(np.array([batch.hardness_ratio for batch in batches], dtype=float))
        self.size = np.log(np.array([batch.size_ratio for batch in batches], dtype=float))


def _extended(learned: Learned, layout: Layout) -> tuple[Floats, Floats]:
    """Effects and covariance with what was never seen at 0, as spread as its family is."""
    known = learned.layout.size
    effects = np.zeros(layout.size)
    effects[:known] = learned.effects
    covariance = np.zeros((layout.size, layout.size))
    covariance[:known, :known] = learned.covariance
    new = np.arange(known, layout.size)
    covariance[new, new] = [
        learned.variances[group] for group in layout.group_of_new(learned.layout)
    ]
    return effects, covariance


def _any_hand(learned: Learned, layout: Layout, batches: Sequence[PlannedBatch]) -> Floats:
    """What the hands bring to a batch that any of them may do: their mean."""
    weights = np.zeros((len(batches), layout.size))
    hands = learned.hands
    for place, batch in enumerate(batches):
        if not batch.hand:
            for hand in hands:
                weights[place, layout.columns["hand"][hand]] = 1 / len(hands)
                column = layout.columns["hand_operation"].get((hand, batch.operation))
                if column is not None:
                    weights[place, column] = 1 / len(hands)
    return weights


def _own_variance(learned: Learned, batches: Sequence[PlannedBatch]) -> Floats:
    """What varies from batch to batch: the error, and which hand it falls to."""
    hands = len(learned.hands)
    varying = learned.variances["hand"] + learned.variances["hand_operation"]
    chance = varying * (1 - 1 / hands if hands else 1.0)
    return np.array(
        [learned.variances["residual"] + (0.0 if batch.hand else chance) for batch in batches]
    )
