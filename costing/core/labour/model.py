"""Partial pooling of clocked minutes: every effect is drawn towards the standard in force.

With S and U the standard set-up and unit minutes of the work, n its pieces:

    ln T = ln(S e^a + n U n^c e^(d + b + f)) + shift + trend + powers of hardness and size + hand
           + hand at the operation + change + order + error - half the variance of the last three

a, d and b belong to the operation and the joint type, f to the two together. All are normal about
0. The errors are normal too, but for a share of clockings that were forgotten, begun late or
booked wrongly. The fit is closed in form inside a short loop: linearise, solve the mixed-model
equations with the orders eliminated, weigh each clocking by how likely it is sound, estimate the
variances.

Source: Henderson's mixed-model equations and expectation-maximisation for variance components;
Searle, Casella & McCulloch, Variance Components, from memory, unverified.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from costing.core.labour.change import Change
from costing.core.labour.clockings import BatchClocking, Floats, Ints, Table, table_of
from costing.core.labour.design import (
    BATCH,
    CELL,
    JOINT,
    OPERATION,
    OUTER,
    PER_ROW,
    SETUP,
    Layout,
    layout_of,
    prior_variances,
    values_of,
)
from costing.core.labour.errors import soundness_of
from costing.core.labour.priors import GROUPS, Priors
from orders.core.errors import RulesBroken

MOST_LOOPS = 40
CLOSE_ENOUGH = 1e-4
HALF = 0.5
"""Share of the parameters' own variance that is added to the squared residuals."""

Heard = Callable[[float], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Orders:
    """How the orders were eliminated: each clocking's order, and what ties orders to effects.

    `links` has a row for each effect and a column for each order, `precisions` one for each order.
    """

    of_row: Ints
    links: Floats
    precisions: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What was learned, and all that foretelling needs: effects with their covariance, and spreads.

    `variances` has one for each family, for "order" and for "residual".
    """

    priors: Priors
    layout: Layout
    effects: Floats
    covariance: Floats
    variances: Mapping[str, float]
    error_share: float

    @property
    def hands(self) -> tuple[str, ...]:
        """Everybody who clocked, in alphabetical order."""
        return tuple(str(hand) for hand in self.layout.columns["hand"])


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted(Learned):
    """What was learned, with each clocking's part in it.

    `soundness` is the chance that a clocking is what it says, `residuals` its logarithm above
    what was expected.
    """

    table: Table
    soundness: Floats
    residuals: Floats
    freshness: Floats
    rows: Ints
    values: Floats
    orders: Orders
    loops: int = 0


def learn(
    clockings: Sequence[BatchClocking] | Table,
    priors: Priors | None = None,
    *,
    changes: Sequence[Change] = (),
    today: float | None = None,
    heard: Heard | None = None,
) -> Fitted:
    """Fit the model; `today` (the last day clocked unless told) is what older days fade from.

    Neither the order of the clockings nor the names in them make a difference, nor does a
    clocking that is there twice. `heard` is told the share done. Raises RulesBroken for figures
    that cannot be.
    """
    priors = priors or Priors()
    if faults := priors.faults():
        raise RulesBroken([fault.under("priors") for fault in faults])
    table = clockings if isinstance(clockings, Table) else table_of(clockings)
    last = float(table.day[-1]) if len(table) else 0.0
    loop = _Loop(table, priors, tuple(changes), last if today is None else today)
    for number in range(MOST_LOOPS if len(table) else 1):
        moved = loop.turn()
        if heard:
            heard((number + 1) / MOST_LOOPS)
        if moved < CLOSE_ENOUGH:
            break
    return loop.fitted(number + 1)


class _Loop:
    """One fit under way."""

    def __init__(
        self, table: Table, priors: Priors, changes: tuple[Change, ...], today: float
    ) -> None:
        self.table, self.priors = table, priors
        self.layout = layout_of(table.clockings, changes)
        self.rows = self.layout.rows_of(table.clockings)
        orders = {name: place for place, name in enumerate(_orders(table))}
        self.order = np.array([orders[row.order] for row in table.clockings], dtype=np.int64)
        self.order_count = len(orders)
        self.log_taken = np.log(table.taken_min)
        self.years = (table.day - today) / 365.0
        self.freshness = 0.5 ** (np.maximum(today - table.day, 0.0) / priors.half_life_days)
        self.effects = np.zeros(self.layout.size)
        self.order_effects = np.zeros(self.order_count)
        self.variances = {group: priors.spread_of(group) ** 2 for group in GROUPS}
        self.variances |= {"order": priors.order**2, "residual": priors.residual**2}
        self.error_share = priors.error_share
        self.covariance = np.diag(prior_variances(self.layout, priors, self.variances))
        self.soundness = np.ones(len(table))
        self.residuals = np.zeros(len(table))
        self.values = np.zeros(self.rows.shape)
        self.links = np.zeros((self.layout.size, self.order_count))
        self.precisions = np.full(self.order_count, 1 / self.variances["order"])

    def turn(self) -> float:
        """Once round the loop; how far the effects moved."""
        if not len(self.table):
            return 0.0
        before = self.effects
        values, expected = self._linearised()
        above = self.log_taken - expected - self.order_effects[self.order]
        self.soundness = soundness_of(above, self.variances["residual"], self.error_share)
        self.soundness[self.table.vouched] = 1.0
        working = self.log_taken - expected + (values * self.effects[self.rows]).sum(axis=1)
        held = self._solve(values, working)
        fitted = (values * self.effects[self.rows]).sum(axis=1) + self.order_effects[self.order]
        self.residuals = working - fitted
        self._spread(held)
        self.values = values
        return float(np.abs(self.effects - before).max())

    def _linearised(self) -> tuple[Floats, Floats]:
        """What bears on each clocking, and its expected logarithm, at the effects as they are."""
        share, minutes = minutes_at(self.effects, self.rows, self.table)
        values = values_of(
            share,
            self.rows,
            self.table.pieces,
            self.table.hardness,
            self.table.size,
            self.years,
        )
        shifts = (values[:, OUTER] * self.effects[self.rows[:, OUTER]]).sum(axis=1)
        return values, np.log(minutes) + shifts - _offset(self.variances)

    def _solve(self, values: Floats, working: Floats) -> "_Held":
        """The mixed-model equations, orders eliminated; what remains unsure of the fit."""
        size, orders = self.layout.size, self.order_count
        weights = self.soundness * self.freshness / self.variances["residual"]
        crossed = _crossed(self.rows, values, weights, size)
        right = np.zeros(size)
        besides = np.zeros(size * orders)
        for column in range(PER_ROW):
            weighted = weights * values[:, column]
            right += np.bincount(self.rows[:, column], weighted * working, size)
            place = self.rows[:, column] * orders + self.order
            besides += np.bincount(place, weighted, size * orders)
        beside: Floats = besides.reshape(size, orders)
        clocked = np.bincount(self.order, weights, orders)
        own = np.asarray(clocked + 1 / self.variances["order"], dtype=float)
        total = np.bincount(self.order, weights * working, orders)
        prior = np.diag(1 / prior_variances(self.layout, self.priors, self.variances))
        eliminated = (beside / own) @ beside.T
        self.links, self.precisions = beside, own
        self.covariance = np.asarray(np.linalg.inv(crossed + prior - eliminated), dtype=float)
        self.effects = self.covariance @ (right - beside @ (total / own))
        self.order_effects = (total - beside.T @ self.effects) / own
        of_orders = 1 / own + ((self.covariance @ beside) * beside).sum(axis=0) / own**2
        sound = np.bincount(self.order, self.soundness / self.variances["residual"], orders)
        unfaded = of_orders - 1 / own + 1 / (sound + 1 / self.variances["order"])
        unsure = (self.covariance * (crossed - 2 * eliminated)).sum() + clocked @ of_orders
        return _Held(orders=unfaded, squares=float(unsure) * self.variances["residual"])

    def _spread(self, held: "_Held") -> None:
        """The variances that make what was found most likely, each held by its prior."""
        weight = self.priors.group_weight
        own = np.diag(self.covariance)
        for group, (start, end) in self.layout.spans.items():
            if group != "change":
                found = float((self.effects[start:end] ** 2 + own[start:end]).sum())
                prior = weight * self.priors.spread_of(group) ** 2
                self.variances[group] = (found + prior) / (end - start + weight)
        found = float((self._orders_unfaded() ** 2 + held.orders).sum())
        self.variances["order"] = (found + weight * self.priors.order**2) / (
            self.order_count + weight
        )
        sound = self.soundness * self.freshness
        squares = float((sound * self.residuals**2).sum()) + HALF * held.squares
        firm = self.priors.residual_weight
        self.variances["residual"] = (squares + firm * self.priors.residual**2) / (
            float(sound.sum()) + firm
        )
        bad = float((1 - self.soundness).sum())
        firm_share = 40.0
        self.error_share = (bad + firm_share * self.priors.error_share) / (
            len(self.table) + firm_share
        )

    def _orders_unfaded(self) -> Floats:
        """The effects of orders with every clocking as fresh as on its day.

        Faded clockings look noisier than they were, and would make orders look more alike.
        """
        sound = self.soundness / self.variances["residual"]
        above = self.residuals + self.order_effects[self.order]
        clocked = np.bincount(self.order, sound, self.order_count)
        total = np.bincount(self.order, sound * above, self.order_count)
        return np.asarray(total / (clocked + 1 / self.variances["order"]))

    def fitted(self, loops: int) -> Fitted:
        """What was found."""
        return Fitted(
            priors=self.priors,
            layout=self.layout,
            effects=self.effects,
            covariance=self.covariance,
            variances=dict(self.variances),
            error_share=self.error_share,
            table=self.table,
            soundness=self.soundness,
            residuals=self.residuals,
            freshness=self.freshness,
            rows=self.rows,
            values=self.values,
            orders=Orders(of_row=self.order, links=self.links, precisions=self.precisions),
            loops=loops,
        )


@dataclass(frozen=True, slots=True)
class _Held:
    """Posterior variances: of each order's effect, and of all fitted values, weighted and summed."""

    orders: Floats
    squares: float


class Standards(Protocol):
    """The standard minutes of some work, as columns."""

    @property
    def setup_min(self) -> Floats: ...
    @property
    def each_min(self) -> Floats: ...
    @property
    def pieces(self) -> Floats: ...


def minutes_at(effects: Floats, rows: Ints, work: Standards) -> tuple[Floats, Floats]:
    """The share of set-up and the minutes, without what bears on both alike."""
    setup = work.setup_min * np.exp(effects[rows[:, SETUP]])
    unit = effects[rows[:, OPERATION]] + effects[rows[:, JOINT]] + effects[rows[:, CELL]]
    learned = effects[BATCH] * np.log(work.pieces)
    minutes = setup + work.pieces * work.each_min * np.exp(unit + learned)
    return setup / minutes, minutes


def _crossed(rows: Ints, values: Floats, weights: Floats, size: int) -> Floats:
    """X'WX, from the few columns that bear on each row."""
    total = np.zeros(size * size)
    own = np.zeros(size)
    for one in range(PER_ROW):
        weighted = weights * values[:, one]
        own += np.bincount(rows[:, one], weighted * values[:, one], size)
        for other in range(one):
            place = rows[:, one] * size + rows[:, other]
            total += np.bincount(place, weighted * values[:, other], size * size)
    matrix = total.reshape(size, size)
    matrix = matrix + matrix.T
    matrix[np.diag_indices(size)] += own
    return matrix


def _orders(table: Table) -> list[str]:
    return sorted({row.order for row in table.clockings})


def _offset(variances: Mapping[str, float]) -> float:
    names = ("hand", "hand_operation", "order", "residual")
    return 0.5 * sum(variances[name] for name in names)
