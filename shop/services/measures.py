"""The owner's measures of a plan: what is late, how late, and what it takes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from shop.core.calendar import Calendar
from shop.core.plan import schedule as core
from shop.core.plan.measure import objective_of
from shop.core.plan.problem import Problem

MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """In the order in which an owner asks.

    `late_min` counts each order's lateness by its weight. `waiting_min` is how long begun work lies
    between its operations, nights included. `overtime_min` is hands' work beyond their usual hours.
    """

    late_min: float
    late_orders: tuple[str, ...]
    overtime_min: float
    setup_min: float
    waiting_min: float
    ends_at: datetime | None


def measures_of(
    problem: Problem,
    bookings: Iterable[core.Booking],
    usual: Mapping[str, Calendar] | None = None,
) -> Measures:
    """The measures of a plan; `usual` are the hours of each hand where the problem has more."""
    found = tuple(bookings)
    reached = objective_of(problem, found)
    names = {order.key: order.label for order in problem.orders}
    return Measures(
        late_min=reached.weighted_lateness_min,
        late_orders=tuple(names[key] for key in reached.late_orders),
        overtime_min=_overtime_min(found, usual or {}),
        setup_min=reached.setup_min,
        waiting_min=_waiting_min(problem, found),
        ends_at=max((booking.end for booking in found), default=None),
    )


def _overtime_min(bookings: Iterable[core.Booking], usual: Mapping[str, Calendar]) -> float:
    beyond = 0.0
    for booking in bookings:
        for hand in booking.hands:
            if (calendar := usual.get(hand)) is not None:
                for start, end in booking.pieces:
                    beyond += (end - start) / MINUTE - calendar.minutes_between(start, end)
    return beyond


def _waiting_min(problem: Problem, bookings: Iterable[core.Booking]) -> float:
    places = {booking.task: booking for booking in bookings}
    waiting = 0.0
    for task in problem.tasks:
        ends = [places[key].end for key in task.after if key in places]
        if ends and task.key in places:
            waiting += max(0.0, (places[task.key].start - max(ends)) / MINUTE)
    return waiting
