"""Whether forecasts were honest: whole orders, foretold from what was known before they began.

Coverage says how often the truth lay in the 80 % band, `kept` how often a promise of P80 was,
`bias` how far forecasts lie above the truth, and the score how sharp and right they are at once.

Source: Gneiting & Raftery, Journal of the American Statistical Association 102 (2007), for the
continuous ranked probability score; from memory, unverified.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import NormalDist, fmean

from costing.core.distribution import Distribution
from costing.core.labour.change import Change
from costing.core.labour.clockings import BatchClocking, Table, table_of
from costing.core.labour.model import Heard, learn
from costing.core.labour.predict import PlannedBatch, hours_of
from costing.core.labour.priors import Priors

_NORMAL = NormalDist()
REFIT_DAYS = 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Foretold:
    """An order's hours as foretold before its first clocking, and as they came out."""

    order: str
    day: float
    hours: Distribution
    actual: float

    @property
    def is_covered(self) -> bool:
        """Whether the truth lay between P10 and P90."""
        return self.hours.at(0.10) <= self.actual <= self.hours.at(0.90)

    @property
    def low(self) -> float:
        """P10: one total in ten stays under it."""
        return self.hours.at(0.10)

    @property
    def began(self) -> date:
        """The day it began, where days count from the first of January of the year 1."""
        return date.fromordinal(int(self.day))

    @property
    def is_kept(self) -> bool:
        """Whether a promise of P80 was kept."""
        return self.actual <= self.hours.p80


@dataclass(frozen=True, slots=True, kw_only=True)
class Honesty:
    """How forecasts of several orders did; bias, width and score are shares of the actual hours."""

    orders: int
    covered: float
    kept: float
    bias: float
    width: float
    score: float


def honesty_of(foretold: Sequence[Foretold]) -> Honesty | None:
    """Sum up some forecasts; None where there are none."""
    if not foretold:
        return None
    return Honesty(
        orders=len(foretold),
        covered=fmean(one.is_covered for one in foretold),
        kept=fmean(one.is_kept for one in foretold),
        bias=fmean(one.hours.p50 / one.actual - 1 for one in foretold),
        width=fmean((one.hours.at(0.90) - one.hours.at(0.10)) / one.actual for one in foretold),
        score=fmean(ranked_score(one.hours, one.actual) / one.actual for one in foretold),
    )


def rolling_origin(
    clockings: Sequence[BatchClocking] | Table,
    orders: Mapping[str, Sequence[PlannedBatch]],
    priors: Priors | None = None,
    *,
    changes: Sequence[Change] = (),
    refit_days: float = REFIT_DAYS,
    heard: Heard | None = None,
) -> tuple[Foretold, ...]:
    """Foretell each order from the orders that ended before it began, by day.

    `orders` has the planned batches of every order to be scored; actual hours are those clocked on
    it. What was learned is as much as `refit_days` old, as it would have been. `heard` is told the
    share done.
    """
    table = clockings if isinstance(clockings, Table) else table_of(clockings)
    spans = _spans(table)
    found: list[Foretold] = []
    learned, learned_on = None, -math.inf
    for order in sorted(set(orders) & set(spans), key=lambda name: (spans[name].first, name)):
        span = spans[order]
        if learned is None or span.first - learned_on >= refit_days:
            past = [row for row in table.clockings if spans[row.order].last < span.first]
            known = [change for change in changes if change.day < span.first]
            learned = learn(past, priors, changes=known, today=span.first)
            learned_on = span.first
        if heard:
            heard(len(found) / len(orders))
        found.append(
            Foretold(
                order=order,
                day=span.first,
                hours=hours_of(learned, orders[order]),
                actual=span.hours,
            )
        )
    return tuple(found)


def ranked_score(hours: Distribution, actual: float) -> float:
    """The continuous ranked probability score of a lognormal forecast, in hours; 0 is perfect."""
    if hours.sd <= 0:
        return abs(actual - hours.mean)
    above = max(actual - hours.floor, 1e-12)
    mean = hours.mean - hours.floor
    sigma = math.sqrt(math.log1p((hours.sd / mean) ** 2))
    median = mean * math.exp(-(sigma**2) / 2)
    z = math.log(above / median) / sigma
    spread = _NORMAL.cdf(z - sigma) + _NORMAL.cdf(sigma / math.sqrt(2)) - 1
    return above * (2 * _NORMAL.cdf(z) - 1) - 2 * mean * spread


@dataclass(slots=True)
class _Span:
    first: float
    last: float
    hours: float


def _spans(table: Table) -> dict[str, _Span]:
    """The first and the last day of each order, and the hours clocked on it."""
    spans: dict[str, _Span] = {}
    for row in table.clockings:
        span = spans.setdefault(row.order, _Span(row.day, row.day, 0.0))
        span.last = max(span.last, row.day)
        span.hours += row.taken_min / 60
    return spans
