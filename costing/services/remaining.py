"""What is left of orders in work: hours and cost to completion as distributions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from costing.core.distribution import Distribution, Moments, distribution_of, variance_of
from costing.core.jobcost import CHARGED
from costing.core.labour import Learned, PlannedBatch, hours_of
from costing.core.labour.predict import moments_of
from costing.core.money import ZERO
from costing.services.clocked import planned
from costing.services.hourly import hour_cost, rates_on
from costing.services.job_costs import JobCost
from costing.services.learning import learned_of
from orders.core.errors import NotReady
from orders.models import Operation
from orders.services.standards import current_edition
from shop.models import Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class Remaining:
    """What an order still takes: hours, what they cost, and stock that was quoted and not issued."""

    cost: JobCost
    operations: int
    hours: Distribution
    work: Distribution
    stock: Decimal

    @property
    def at_completion(self) -> Decimal:
        """What the order is expected to have cost in the end."""
        return self.cost.actual_cost + self.stock + Decimal(str(round(self.work.mean, 2)))

    @property
    def earned(self) -> Decimal | None:
        """What it is expected to earn."""
        return None if self.cost.net is None else self.cost.net - self.at_completion

    @property
    def chance_of_loss(self) -> float | None:
        """The chance that it costs more than its price."""
        if self.cost.net is None:
            return None
        room = float(self.cost.net - self.cost.actual_cost - self.stock)
        return self.work.chance_above(room)


def remaining(workshop: Workshop, costs: Sequence[JobCost]) -> list[Remaining]:
    """What is left of each, from what was learned where there is a fit, else from the standards.

    Raises NotReady without an edition of the rate book that is valid today.
    """
    rates = rates_on(workshop, timezone.localdate())
    if rates is None:
        raise NotReady("The rate book has no edition that is valid today; make one.")
    rows = Operation.objects.filter(commission__in=[one.commission.pk for one in costs]).open()
    work = planned(workshop, current_edition(workshop), rows, left=True)
    facts = {
        row[0]: (Decimal(hour_cost(rates, row[1], row[2])), row[3])
        for row in rows.values_list("pk", "skill", "station_kind", "spread")
    }
    learned = learned_of(workshop)
    found = []
    for cost in costs:
        batches = [one for _, one in work.get(cost.commission.pk, [])]
        hourly = [float(facts[pk][0]) for pk, _ in work.get(cost.commission.pk, [])]
        spreads = [facts[pk][1] for pk, _ in work.get(cost.commission.pk, [])]
        hours, means = _hours(learned, batches, spreads)
        money = sum(m / 60 * rate for m, rate in zip(means, hourly, strict=True))
        share = hours.sd / hours.mean if hours.mean else 0.0
        found.append(
            Remaining(
                cost=cost,
                operations=len(batches),
                hours=hours,
                work=distribution_of(Moments(mean=money, variance=(money * share) ** 2)),
                stock=_stock(cost) if batches else ZERO,
            )
        )
    return found


def _hours(
    learned: Learned | None, batches: Sequence[PlannedBatch], spreads: Sequence[float]
) -> tuple[Distribution, Sequence[float]]:
    """The hours, and the mean minutes of each batch."""
    busy = [one for one in batches if one.each_min or one.setup_min]
    if learned is not None and len(busy) == len(batches) and batches:
        return hours_of(learned, batches), [float(m) for m in moments_of(learned, batches)[0]]
    means = [one.setup_min + one.pieces * one.each_min for one in batches]
    variance = sum(variance_of(m, s) for m, s in zip(means, spreads, strict=True))
    moments = Moments(mean=sum(means) / 60, variance=variance / 3600)
    return distribution_of(moments), means


def _stock(cost: JobCost) -> Decimal:
    """What was quoted of stock and outwork and is not charged yet, kind by kind."""
    return sum(
        (max(ZERO, line.quoted - line.actual) for line in cost.lines if line.kind in CHARGED), ZERO
    )
