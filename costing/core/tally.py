"""Running totals of one assembly: minutes, money, and the variance of both."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import TypeVar

from costing.core.breakdown import Handled, OperationLine
from costing.core.distribution import (
    Distribution,
    Moments,
    distribution_of,
    relative_variance,
    variance_of,
)
from costing.core.money import ZERO
from costing.core.rates import Overhead, OverheadBasis, RateBook

Key = TypeVar("Key", bound=str)


Worry = tuple[float, float, OperationLine]
"""The variance that an operation brings into the cost, its minutes, and the operation."""


class Tally:
    """What has been booked on one assembly so far; means and variances are plain running sums."""

    __slots__ = (
        "cost_mean",
        "cost_variance",
        "direct",
        "handled",
        "hour_mean",
        "hour_variance",
        "labour",
        "labour_min",
        "machine_min",
        "minutes_of",
        "other_mean",
        "other_variance",
        "worries",
    )

    def __init__(self) -> None:
        self.labour_min = ZERO
        self.machine_min = ZERO
        self.labour = ZERO
        self.minutes_of: dict[str, Decimal] = {}
        self.handled: dict[Handled, Decimal] = {}
        self.direct = ZERO
        self.hour_mean = self.hour_variance = 0.0
        self.cost_mean = self.cost_variance = 0.0
        self.other_mean = self.other_variance = 0.0
        self.worries: list[Worry] = []

    @property
    def variance(self) -> float:
        """Variance of this assembly's cost, the order's common effect aside."""
        return self.cost_variance + self.other_variance

    def add_cost(
        self, amount: Decimal, *, handled: Handled = Handled.MATERIALS, spread: float = 0.0
    ) -> None:
        """Book timber, glue or an extra."""
        self.direct += amount
        self.handled[handled] = self.handled.get(handled, ZERO) + amount
        if spread and amount > 0:
            mean = float(amount)
            self.other_mean += mean
            self.other_variance += variance_of(mean, spread)

    def add_operation(
        self,
        operation: OperationLine,
        minutes: Decimal,
        labour: Decimal,
        machine: Decimal | None,
        overhead: Decimal,
    ) -> None:
        """Book an operation: its labour, its machine if it runs on one, and its overhead."""
        self.labour_min += minutes
        self.minutes_of[operation.skill] = self.minutes_of.get(operation.skill, ZERO) + minutes
        self.labour += labour
        self.direct += labour
        cost = labour + overhead
        if machine is not None:
            self.machine_min += minutes
            self.direct += machine
            cost += machine
        worked = float(minutes)
        if not worked:
            return
        hours, mean = worked / 60, float(cost)
        relative = relative_variance(operation.spread)
        variance = mean * mean * relative
        self.hour_mean += hours
        self.hour_variance += hours * hours * relative
        self.cost_mean += mean
        self.cost_variance += variance
        self.worries.append((variance, worked, operation))

    def burdened(self, rates: RateBook) -> Decimal:
        """Direct cost with its own handling and overhead, exact."""
        handling = sum(
            (amount * rates.handling_of(kind) for kind, amount in self.handled.items()), ZERO
        )
        return self.direct + handling + self.overhead(rates.overhead)

    def overhead(self, overhead: Overhead) -> Decimal:
        """The shop overhead that this work bears, exact."""
        if overhead.basis is OverheadBasis.DEPARTMENT:
            return sum(
                (
                    minutes / 60 * overhead.per_hour(skill)
                    for skill, minutes in self.minutes_of.items()
                ),
                ZERO,
            )
        base = {
            OverheadBasis.LABOUR_COST: self.labour,
            OverheadBasis.LABOUR_HOUR: self.labour_min / 60,
            OverheadBasis.MACHINE_HOUR: self.machine_min / 60,
        }[overhead.basis]
        return base * overhead.rate

    def hours(self, order_spread: float) -> Distribution:
        """How the hours are distributed."""
        hours = Moments(mean=self.hour_mean, variance=self.hour_variance)
        return distribution_of(hours.under_common_effect(order_spread))

    def cost(self, mean: float, order_spread: float) -> Distribution:
        """How the cost is distributed, given its mean with all that does not vary."""
        worked = Moments(mean=self.cost_mean, variance=self.cost_variance)
        other = Moments(mean=self.other_mean, variance=self.other_variance)
        varying = worked.under_common_effect(order_spread).plus(other)
        return distribution_of(varying, floor=mean - varying.mean)


def total_of(tallies: Iterable[Tally]) -> Tally:
    """The tallies of several assemblies as one."""
    whole = Tally()
    for tally in tallies:
        whole.labour_min += tally.labour_min
        whole.machine_min += tally.machine_min
        whole.labour += tally.labour
        _add(whole.minutes_of, tally.minutes_of)
        _add(whole.handled, tally.handled)
        whole.direct += tally.direct
        whole.hour_mean += tally.hour_mean
        whole.hour_variance += tally.hour_variance
        whole.cost_mean += tally.cost_mean
        whole.cost_variance += tally.cost_variance
        whole.other_mean += tally.other_mean
        whole.other_variance += tally.other_variance
        whole.worries += tally.worries
    return whole


def _add(whole: dict[Key, Decimal], more: Mapping[Key, Decimal]) -> None:
    for key, amount in more.items():
        whole[key] = whole.get(key, ZERO) + amount
