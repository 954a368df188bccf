"""The owner's measures of a plan: what is late, how late, what it takes, and what each counts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from shop.core.plan import schedule as core
from shop.core.plan.measure import objective_of
from shop.core.plan.prices import Measure
from shop.core.plan.problem import Problem

WORDS: Mapping[Measure, str] = {
    Measure.LATENESS: "late, by importance",
    Measure.OVERTIME: "overtime",
    Measure.SETUP: "set-ups",
    Measure.IN_PROGRESS: "orders in progress",
    Measure.IDLE: "begun work that waits",
}
"""In the order in which an owner asks; orders that are late at all are counted and not timed."""

LATE_AT_ALL = "orders late at all"

AMOUNTS: Mapping[Measure, str] = {
    Measure.LATENESS: "weighted_lateness_min",
    Measure.OVERTIME: "overtime_min",
    Measure.SETUP: "setup_min",
    Measure.IN_PROGRESS: "in_progress_min",
    Measure.IDLE: "idle_min",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """The measures of a plan, in minutes; `late_min` counts each order's lateness by its weight.

    `in_progress_min` is how long orders are in hand, `waiting_min` how long begun work lies between
    its operations, nights included. `cost_min` is what all of them count by their prices, in
    minutes that an order of weight 1 is late.
    """

    late_min: float
    late_orders: tuple[str, ...]
    overtime_min: float
    setup_min: float
    in_progress_min: float
    waiting_min: float
    cost_min: float
    ends_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """One measure of a plan that is kept: its name, its minutes, what they count by its price.

    What is counted and not timed has a `count`. `place` is where it comes, from 1, in a plan that
    goes by one measure after another; None where it does not count there.
    """

    name: str
    minutes: float
    cost_min: float
    count: int | None = None
    place: int | None = None


def measures_of(problem: Problem, bookings: Iterable[core.Booking]) -> Measures:
    """The measures of a plan."""
    found = tuple(bookings)
    reached = objective_of(problem, found)
    names = {order.key: order.label for order in problem.orders}
    return Measures(
        late_min=reached.weighted_lateness_min,
        late_orders=tuple(names[key] for key in reached.late_orders),
        overtime_min=reached.overtime_min,
        setup_min=reached.setup_min,
        in_progress_min=reached.in_progress_min,
        waiting_min=reached.idle_min,
        cost_min=sum(reached.weighed.values()),
        ends_at=max((booking.end for booking in found), default=None),
    )


def weighed(objective: Mapping[str, Any]) -> list[Weighed]:
    """The measures that were kept with a plan, in the order in which an owner asks."""
    costs: Mapping[str, float] = objective.get("costs", {})
    order: Sequence[str] = objective.get("order", ())
    places = {name: place for place, name in enumerate(order, 1)}
    found = [
        Weighed(
            name=words,
            minutes=objective[AMOUNTS[measure]],
            cost_min=costs.get(measure.value, 0.0),
            place=places.get(measure),
        )
        for measure, words in WORDS.items()
        if AMOUNTS[measure] in objective
    ]
    late, cost = Measure.LATE_ORDERS, costs.get(Measure.LATE_ORDERS, 0.0)
    if cost or late in places:
        at_all = Weighed(
            name=LATE_AT_ALL,
            minutes=0.0,
            cost_min=cost,
            count=len(objective.get("late_orders", ())),
            place=places.get(late),
        )
        found.insert(1, at_all)
    return found


def name_of(measure: Measure) -> str:
    """What an owner calls a measure."""
    return WORDS.get(measure, LATE_AT_ALL)
