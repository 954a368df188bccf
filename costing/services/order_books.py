"""The owner's Monday: what is in work, what was finished, what earns the most, year by year."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Max, Min, Q, Sum
from django.utils import timezone

from costing.core.money import ZERO
from costing.services.job_costs import JobCost, job_costs
from costing.services.remaining import Remaining, remaining
from orders.core.stages import Stage
from orders.models import Commission
from orders.models.commission import StageMove
from shop.models import Station, Workshop

WEEK = timedelta(days=7)
YEAR = timedelta(days=365)
NO_BENCH = ("van", "outwork")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bottleneck:
    """The kind of station that was worked the most for the places there are."""

    kind: str
    hours: float
    places: int

    @property
    def hours_per_place(self) -> float:
        """Hours worked at each of its places."""
        return self.hours / self.places


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranked:
    """A finished order: what it brought beyond what was bought for it, per bottleneck hour."""

    cost: JobCost
    brought: Decimal
    bottleneck_h: float

    @property
    def per_hour(self) -> Decimal | None:
        """Money per hour at the bottleneck; None for an order that took none of it."""
        if not self.bottleneck_h:
            return None
        return self.brought / Decimal(str(self.bottleneck_h))


@dataclass(frozen=True, slots=True, kw_only=True)
class Year:
    """The orders delivered in a year."""

    year: int
    orders: int
    net: Decimal
    cost: Decimal
    quoted_cost: Decimal
    hours: float
    quoted_h: float

    @property
    def earned(self) -> Decimal:
        """Price less cost."""
        return self.net - self.cost

    @property
    def margin(self) -> Decimal | None:
        """What was earned, as a share of the price."""
        return self.earned / self.net if self.net else None

    @property
    def efficiency(self) -> float | None:
        """Hours quoted over hours taken."""
        return self.quoted_h / self.hours if self.hours else None


@dataclass(frozen=True, slots=True, kw_only=True)
class InProgress:
    """Work in progress at the end of a day, at cost; what costs more than its price counts as that."""

    on: date
    costs: tuple[JobCost, ...]

    @property
    def value(self) -> Decimal:
        """Together."""
        return sum((value_of(one) for one in self.costs), ZERO)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderBooks:
    """Everything the Monday page tells."""

    in_work: tuple[Remaining, ...]
    finished: tuple[JobCost, ...]
    ranked: tuple[Ranked, ...]
    bottleneck: Bottleneck | None
    years: tuple[Year, ...]


def order_books(workshop: Workshop, today: date) -> OrderBooks:
    """What is in work, what was delivered in the last week, the last year ranked, every year.

    About twenty queries however many orders. Raises NotReady without rates.
    """
    delivered = delivered_on(workshop)
    open_orders = Commission.objects.of(workshop).filter(stage=Stage.IN_WORK).order_by("number")
    done = Commission.objects.of(workshop).filter(pk__in=list(delivered)).order_by("-number")
    costs = job_costs(workshop, [*_with_shop(workshop, open_orders), *_with_shop(workshop, done)])
    over = [one for one in costs if one.commission.pk in delivered]
    over = [one for one in over if one.commission.stage in (Stage.DELIVERED, Stage.CLOSED)]
    last_year = [one for one in over if delivered[one.commission.pk] > today - YEAR]
    bottleneck = bottleneck_of(workshop, last_year)
    return OrderBooks(
        in_work=tuple(
            remaining(workshop, [one for one in costs if one.commission.stage == Stage.IN_WORK])
        ),
        finished=tuple(one for one in over if delivered[one.commission.pk] > today - WEEK),
        ranked=tuple(ranked(last_year, bottleneck)),
        bottleneck=bottleneck,
        years=tuple(_years(over, delivered)),
    )


def in_progress(workshop: Workshop, on: date) -> InProgress:
    """What was released by the end of a day and not delivered by then, at its cost so far."""
    moves = Commission.objects.of(workshop).annotate(
        released_at=Min("moves__at", filter=Q(moves__to_stage=Stage.IN_WORK)),
        delivered_at=Max("moves__at", filter=Q(moves__to_stage=Stage.DELIVERED)),
    )
    found = [
        one
        for one in moves.filter(released_at__isnull=False).order_by("number")
        if timezone.localdate(one.released_at) <= on
        and (one.delivered_at is None or timezone.localdate(one.delivered_at) > on)
    ]
    costs = job_costs(workshop, _with_shop(workshop, found), until=on)
    return InProgress(on=on, costs=tuple(costs))


def value_of(cost: JobCost) -> Decimal:
    """Cost so far, and no more than the price that was agreed."""
    return cost.actual_cost if cost.net is None else min(cost.actual_cost, cost.net)


def delivered_on(workshop: Workshop) -> dict[int, date]:
    """The day each order was delivered, the last time."""
    rows = StageMove.objects.filter(commission__workshop=workshop, to_stage=Stage.DELIVERED)
    found = rows.order_by().values_list("commission_id").annotate(last=Max("at"))
    return {commission: timezone.localdate(at) for commission, at in found}


def bottleneck_of(workshop: Workshop, costs: Iterable[JobCost]) -> Bottleneck | None:
    """The kind of station that these orders kept busiest for its places."""
    places = dict(
        Station.objects.of(workshop)
        .filter(is_in_use=True)
        .exclude(kind__in=NO_BENCH)
        .order_by()
        .values_list("kind")
        .annotate(total=Sum("places"))
    )
    seconds: dict[str, int] = {}
    for cost in costs:
        for kind, some in cost.at_station.items():
            seconds[kind] = seconds.get(kind, 0) + some
    found = [
        Bottleneck(kind=kind, hours=seconds.get(kind, 0) / 3600, places=number)
        for kind, number in places.items()
        if number and seconds.get(kind)
    ]
    return max(found, key=lambda one: (one.hours_per_place, one.kind), default=None)


def ranked(costs: Sequence[JobCost], bottleneck: Bottleneck | None) -> list[Ranked]:
    """Orders by what they brought per hour of the bottleneck, the best first."""
    rows = [
        Ranked(
            cost=cost,
            brought=cost.net - cost.bought,
            bottleneck_h=cost.at_station.get(bottleneck.kind, 0) / 3600 if bottleneck else 0.0,
        )
        for cost in costs
        if cost.net is not None
    ]
    return sorted(rows, key=lambda one: (one.per_hour is None, -(one.per_hour or ZERO)))


def _years(costs: Iterable[JobCost], delivered: dict[int, date]) -> list[Year]:
    """Year by year, the last first."""
    by_year: dict[int, list[JobCost]] = {}
    for cost in costs:
        if cost.quoted is not None:
            by_year.setdefault(delivered[cost.commission.pk].year, []).append(cost)
    return [
        Year(
            year=year,
            orders=len(some),
            net=sum((one.net or ZERO for one in some), ZERO),
            cost=sum((one.actual_cost for one in some), ZERO),
            quoted_cost=sum((one.quoted_cost for one in some), ZERO),
            hours=sum(one.hours for one in some),
            quoted_h=sum(one.quoted.hours for one in some if one.quoted),
        )
        for year, some in sorted(by_year.items(), reverse=True)
    ]


def _with_shop(workshop: Workshop, orders: Iterable[Commission]) -> list[Commission]:
    """The orders with their workshop at hand."""
    found = list(orders)
    for one in found:
        one.workshop = workshop
    return found
