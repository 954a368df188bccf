"""Running totals of one assembly: minutes, money, and the variance of both."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from costing.core.breakdown import Handled, OperationLine
from costing.core.distribution import Distribution, Moments, distribution_of, variance_of
from costing.core.money import ZERO
from costing.core.rates import Overhead, OverheadBasis, RateBook

Key = TypeVar("Key", bound=str)


@dataclass(frozen=True, slots=True)
class Worry:
    """An operation and the variance that its minutes bring into the cost."""

    operation: OperationLine
    minutes: float
    variance: float


class Tally:
    """What has been booked on one assembly so far."""

    __slots__ = (
        "cost_moments",
        "direct",
        "handled",
        "hour_moments",
        "labour",
        "labour_min",
        "machine_min",
        "minutes_of",
        "other_moments",
        "worries",
    )

    def __init__(self) -> None:
        self.labour_min = ZERO
        self.machine_min = ZERO
        self.labour = ZERO
        self.minutes_of: dict[str, Decimal] = {}
        self.handled: dict[Handled, Decimal] = {}
        self.direct = ZERO
        self.hour_moments = Moments()
        self.cost_moments = Moments()
        self.other_moments = Moments()
        self.worries: list[Worry] = []

    @property
    def variance(self) -> float:
        """Variance of this assembly's cost, the order's common effect aside."""
        return self.cost_moments.variance + self.other_moments.variance

    def add_cost(
        self, amount: Decimal, *, handled: Handled = Handled.MATERIALS, spread: float = 0.0
    ) -> None:
        """Book timber, glue or an extra."""
        self.direct += amount
        self.handled[handled] = self.handled.get(handled, ZERO) + amount
        if spread and amount > 0:
            mean = float(amount)
            self.other_moments = self.other_moments.plus(
                Moments(mean=mean, variance=variance_of(mean, spread))
            )

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
        if machine is not None:
            self.machine_min += minutes
            self.direct += machine
        hours = float(minutes) / 60
        if not hours:
            return
        cost = float(labour + (machine or ZERO) + overhead)
        variance = variance_of(cost, operation.spread)
        self.hour_moments = self.hour_moments.plus(
            Moments(mean=hours, variance=variance_of(hours, operation.spread))
        )
        self.cost_moments = self.cost_moments.plus(Moments(mean=cost, variance=variance))
        self.worries.append(Worry(operation, float(minutes), variance))

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
        return distribution_of(self.hour_moments.under_common_effect(order_spread))

    def cost(self, mean: float, order_spread: float) -> Distribution:
        """How the cost is distributed, given its mean with all that does not vary."""
        varying = self.cost_moments.under_common_effect(order_spread).plus(self.other_moments)
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
        whole.hour_moments = whole.hour_moments.plus(tally.hour_moments)
        whole.cost_moments = whole.cost_moments.plus(tally.cost_moments)
        whole.other_moments = whole.other_moments.plus(tally.other_moments)
        whole.worries += tally.worries
    return whole


def _add(whole: dict[Key, Decimal], more: Mapping[Key, Decimal]) -> None:
    for key, amount in more.items():
        whole[key] = whole.get(key, ZERO) + amount
