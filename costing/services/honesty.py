"""Are our estimates honest? What was quoted, and what would have been foretold, against the hours taken."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import DurationField, ExpressionWrapper, F, Max, Min, Sum
from django.utils import timezone

from costing.core.distribution import Distribution, Moments, distribution_of
from costing.core.labour import Foretold, Honesty, honesty_of, rolling_origin, table_of
from costing.models import ForetoldOrder, LabourFit, Quote
from costing.services.clocked import Read, planned, read
from orders.models import Commission, Operation, StandardEdition
from shop.models import Clocking, Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """The orders that began in a month: how the quotes did, and how what was learned would have."""

    on: date
    quoted: Honesty | None
    learned: Honesty | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """Every finished order with its forecasts, month by month and together."""

    quoted: tuple[Foretold, ...]
    learned: tuple[Foretold, ...]
    months: tuple[Month, ...]
    together: Month | None


def foretell(workshop: Workshop, found: Read, heard: Any = None) -> tuple[Foretold, ...]:
    """Each finished order foretold from the orders that ended before it began.

    The minutes are those of the first edition, so that nothing is known that was learned later.
    """
    first: StandardEdition = StandardEdition.objects.of(workshop).order_by("number")[0]
    past = found if first == found.edition else read(workshop, first)
    rows = Operation.objects.filter(
        commission__in=finished(workshop), extra__minutes__isnull=True, state=Operation.State.DONE
    )
    orders = {
        str(commission): [batch for _, batch in batches]
        for commission, batches in planned(workshop, first, rows).items()
    }
    table = table_of(past.clockings)
    return rolling_origin(table, orders, changes=past.marked, heard=heard)


def finished(workshop: Workshop) -> Any:
    """The commissions that were released and have nothing left to do."""
    released = Commission.objects.of(workshop).filter(operations__isnull=False)
    return released.exclude(operations__in=Operation.objects.open()).distinct()


def store(fit: LabourFit, foretold: Sequence[Foretold]) -> None:
    """Keep the forecasts with the fit."""
    ForetoldOrder.objects.bulk_create(
        ForetoldOrder(
            fit=fit,
            commission_id=int(one.order),
            on=date.fromordinal(int(one.day)),
            mean_h=one.hours.mean,
            sd_h=one.hours.sd,
            actual_h=one.actual,
        )
        for one in foretold
    )


def record(workshop: Workshop, fit: LabourFit | None) -> Record:
    """How honest the quotes were, and how honest the learned times would have been."""
    quoted = as_quoted(workshop)
    learned = tuple(_foretold(row) for row in fit.foretold.all()) if fit else ()
    by_month: dict[date, tuple[list[Foretold], list[Foretold]]] = {}
    for place, some in enumerate((quoted, learned)):
        for one in some:
            first = one.began.replace(day=1)
            by_month.setdefault(first, ([], []))[place].append(one)
    return Record(
        quoted=quoted,
        learned=learned,
        months=tuple(_month(on, *by_month[on]) for on in sorted(by_month)),
        together=_month(date.min, quoted, learned) if by_month else None,
    )


def as_quoted(workshop: Workshop) -> tuple[Foretold, ...]:
    """The hours of each accepted quote whose order is finished, against the hours clocked."""
    clocked = taken(Clocking.objects.filter(operation__commission__in=finished(workshop)))
    quotes = Quote.objects.filter(commission__in=list(clocked), state=Quote.State.ACCEPTED)
    rows = quotes.values_list("commission_id", "content__estimate__hours")
    found = [
        Foretold(
            order=str(commission),
            day=float(clocked[commission][0].toordinal()),
            hours=_distribution(hours["mean"], hours["sd"]),
            actual=clocked[commission][1],
        )
        for commission, hours in rows
        if hours and hours["mean"] > 0
    ]
    return tuple(sorted(found, key=lambda one: (one.day, one.order)))


def taken(clockings: Any) -> Mapping[int, tuple[date, float]]:
    """The first day and the hours of each commission that was clocked."""
    length = ExpressionWrapper(F("ended_at") - F("started_at"), output_field=DurationField())
    rows = (
        clockings.filter(ended_at__isnull=False)
        .order_by()
        .values("operation__commission_id")
        .annotate(first=Min("started_at"), last=Max("ended_at"), total=Sum(length))
    )
    return {
        row["operation__commission_id"]: (
            timezone.localdate(row["first"]),
            row["total"].total_seconds() / 3600,
        )
        for row in rows
        if row["total"]
    }


def _month(on: date, quoted: Iterable[Foretold], learned: Iterable[Foretold]) -> Month:
    return Month(on=on, quoted=honesty_of(tuple(quoted)), learned=honesty_of(tuple(learned)))


def _foretold(row: ForetoldOrder) -> Foretold:
    return Foretold(
        order=str(row.commission_id),
        day=float(row.on.toordinal()),
        hours=_distribution(row.mean_h, row.sd_h),
        actual=row.actual_h,
    )


def _distribution(mean: float, sd: float) -> Distribution:
    return distribution_of(Moments(mean=mean, variance=sd**2))
