"""How long a commission takes from an order: what the shop has in hand, then its own hours."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

AT_ONCE = 2
"""Hands who work on one order at a time; common practice, no source."""

LEAST_MIN = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenDay:
    """A day on which somebody works: the minutes of each hand."""

    on: date
    hands_min: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadTime:
    """When the work would be done if it were ordered now.

    `working_days` are those on which somebody works, the first and the last counted.
    """

    hours: float
    before_h: float
    working_days: int
    done_on: date


def lead_time(
    days: Iterable[OpenDay], *, before_min: float, own_min: float, at_once: int = AT_ONCE
) -> LeadTime | None:
    """What is in hand first, by every hand; then the work itself, by `at_once` of them.

    The days are in order. None when they do not hold the work.
    """
    before, own = before_min, own_min
    for number, day in enumerate((day for day in days if sum(day.hands_min) > 0), start=1):
        spent = min(before, sum(day.hands_min))
        before -= spent
        share = 1 - spent / sum(day.hands_min)
        own -= share * sum(sorted(day.hands_min, reverse=True)[:at_once])
        if before <= LEAST_MIN and own <= LEAST_MIN:
            return LeadTime(
                hours=own_min / 60, before_h=before_min / 60, working_days=number, done_on=day.on
            )
    return None
