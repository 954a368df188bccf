"""Noticing that an operation has changed: a new jig, a blunt cutter, another way of doing it.

For an operation, and for an operation on one joint type, each day is tried from which a step might
have begun. The step is weighed as if it had been in the model from the start: its score over its
standard error, with all that the other effects had taken up of it given back.

Source: Rao's score test; Cox & Hinkley, Theoretical Statistics, from memory, unverified.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from costing.core.labour.change import Change
from costing.core.labour.clockings import BatchClocking, Floats, Ints, Table, table_of
from costing.core.labour.design import PER_ROW
from costing.core.labour.model import Fitted, Heard, learn
from costing.core.labour.priors import Priors

LEAST_AFTER = 5
LEAST_BEFORE = 10
GROWTH = 1.25
"""Days are tried so that each has a quarter more clockings after it than the last."""

ALARM = 3.75
SOUND_AT_LEAST = 0.3
CLIPPED = 3.0
"""A step makes clockings look unsound; they keep this much weight, and none counts for more."""

LEAST_SHIFT = 0.20
"""Only a change of more than about a fifth is worth telling."""

MOST_ROUNDS = 4
NEAR_DAYS = 45.0


def learn_and_notice(
    clockings: Sequence[BatchClocking] | Table,
    priors: Priors | None = None,
    *,
    marked: Sequence[Change] = (),
    refused: Sequence[Change] = (),
    today: float | None = None,
    heard: Heard | None = None,
) -> Fitted:
    """Learn, with the changes that a person marked and those that the clockings show.

    A change that a person refused is not found again, nor one like it within `NEAR_DAYS`.
    What was found stands in the layout of what is returned. Raises as `learn` does.
    """
    table = clockings if isinstance(clockings, Table) else table_of(clockings)
    learned = learn(table, priors, changes=marked, today=today, heard=heard)
    for _ in range(MOST_ROUNDS):
        found = find_changes(learned, refused)
        if not found:
            break
        changes = (*learned.layout.changes, *found)
        learned = learn(table, priors, changes=changes, today=today, heard=heard)
    return learned


def find_changes(learned: Fitted, refused: Sequence[Change] = ()) -> tuple[Change, ...]:
    """The clearest change of each operation that the clockings show beyond those known."""
    alarms: dict[tuple[str, str], _Step] = {}
    for step in _steps(learned):
        if any(is_like(step.change, one) for one in refused):
            continue
        place = (step.change.operation, step.change.method)
        if place not in alarms or step.strength > alarms[place].strength:
            alarms[place] = step
    ranked = sorted(alarms.values(), key=lambda step: -step.strength)
    return tuple(
        step.change
        for step in ranked
        if step.strength > ALARM
        and abs(step.shift) > LEAST_SHIFT
        and step.change not in learned.layout.changes
    )


def is_like(one: Change, other: Change) -> bool:
    """Whether two changes are of the same work at about the same time; "" stands for any joint."""
    is_same_work = (one.operation, one.method) == (other.operation, other.method)
    is_same_joint = one.joint == other.joint or not (one.joint and other.joint)
    return is_same_work and is_same_joint and abs(one.day - other.day) <= NEAR_DAYS


@dataclass(frozen=True, slots=True, kw_only=True)
class _Step:
    """A step that might have been: by how much, and how many standard errors that is."""

    change: Change
    shift: float
    strength: float


def _steps(learned: Fitted) -> Iterator[_Step]:
    for joint, rows in _groups(learned):
        first = learned.table.clockings[rows[0]]
        for start in _starts(learned.table.day[rows]):
            shift, strength = _weighed(learned, rows[start:])
            change = Change(
                operation=first.operation,
                method=first.method,
                joint=joint,
                day=float(learned.table.day[rows[start]]),
            )
            yield _Step(change=change, shift=shift, strength=strength)


def _groups(learned: Fitted) -> Iterator[tuple[str, Ints]]:
    """The rows of each operation, and of each operation on each joint type, by day."""
    groups: dict[tuple[str, str, str], list[int]] = {}
    for place, row in enumerate(learned.table.clockings):
        groups.setdefault((row.operation, row.method, ""), []).append(place)
        groups.setdefault((row.operation, row.method, row.joint), []).append(place)
    for (_, _, joint), rows in groups.items():
        if len(rows) >= LEAST_BEFORE + LEAST_AFTER:
            yield joint, np.array(rows, dtype=np.int64)


def _starts(days: Floats) -> list[int]:
    """Where a step may begin: at the first clocking of a day, fewer and fewer back in time."""
    starts: list[int] = []
    wanted = float(LEAST_AFTER)
    for start in range(len(days) - LEAST_AFTER, LEAST_BEFORE - 1, -1):
        if days[start] > days[start - 1] and len(days) - start >= wanted:
            starts.append(start)
            wanted = (len(days) - start) * GROWTH
    return starts


def _weighed(learned: Fitted, after: Ints) -> tuple[float, float]:
    """The shift of these rows against all others, and how many standard errors it is."""
    variance, orders = learned.variances["residual"], learned.orders
    sound = np.maximum(learned.soundness[after], SOUND_AT_LEAST)
    weights = learned.freshness[after] * sound / variance
    clip = CLIPPED * math.sqrt(variance)
    rows, values = learned.rows[after], learned.values[after]
    on_effects = np.zeros(learned.layout.size)
    for column in range(PER_ROW):
        on_effects += np.bincount(rows[:, column], weights * values[:, column], len(on_effects))
    on_orders = np.bincount(orders.of_row[after], weights, len(orders.precisions))
    apart = on_effects - orders.links @ (on_orders / orders.precisions)
    taken_up = apart @ learned.covariance @ apart + on_orders @ (on_orders / orders.precisions)
    information = max(float(weights.sum() - taken_up), 1e-9)
    score = float(weights @ np.clip(learned.residuals[after], -clip, clip))
    return score / information, abs(score) / math.sqrt(information)
