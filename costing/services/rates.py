"""The rate book: read the edition in force, make the next one."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Max

from costing.core.rates import Overhead, OverheadBasis, Profit, ProfitBasis, RateBook
from costing.models import LabourRate, MachineRate, RateEdition
from orders.core.errors import NotReady, RuleBroken, RulesBroken
from orders.core.times import Skill, StationKind
from shop.models import User, Workshop

AMOUNTS = (
    "overhead_basis",
    "overhead_rate",
    "materials_handling",
    "contingency",
    "profit_basis",
    "profit_share",
    "tax_rate",
    "tax_name",
    "rounding",
    "note",
)


def rates_in_force(workshop: Workshop, on: date) -> RateEdition:
    """The newest edition that is valid on that day.

    Raises NotReady if there is none.
    """
    edition: RateEdition | None = (
        RateEdition.objects.of(workshop).filter(valid_from__lte=on).order_by("-number").first()
    )
    if edition is None:
        raise NotReady(
            f"The rate book has no edition that is valid on {on:%d %B %Y}; make one in the rate book."
        )
    return edition


def rate_book(edition: RateEdition) -> RateBook:
    """An edition as the estimate reads it."""
    return RateBook(
        edition=edition.number,
        currency=edition.workshop.currency,
        labour={rate.skill: rate.per_hour for rate in edition.labour.all()},
        machine={rate.station_kind: rate.per_hour for rate in edition.machines.all()},
        overhead=Overhead(basis=OverheadBasis(edition.overhead_basis), rate=edition.overhead_rate),
        materials_handling=edition.materials_handling,
        contingency=edition.contingency,
        profit=Profit(basis=ProfitBasis(edition.profit_basis), share=edition.profit_share),
        tax_rate=edition.tax_rate,
        rounding=edition.rounding,
    )


@transaction.atomic
def new_edition(
    workshop: Workshop,
    *,
    by: User | None,
    valid_from: date,
    labour: Mapping[str, Decimal],
    machines: Mapping[str, Decimal],
    **amounts: Any,
) -> RateEdition:
    """The next edition of the rate book; what is not given is taken over from the last one.

    Raises RulesBroken for figures that make no sense: a margin of 100 %, a negative rate, an
    unknown skill or kind of station.
    """
    workshop = Workshop.objects.select_for_update().get(pk=workshop.pk)
    last = RateEdition.objects.of(workshop).order_by("-number").first()
    taken_over = {name: getattr(last, name) for name in AMOUNTS if name != "note"} if last else {}
    newest = RateEdition.objects.of(workshop).aggregate(n=Max("number"))["n"] or 0
    edition = RateEdition(
        workshop=workshop,
        number=newest + 1,
        valid_from=valid_from,
        made_by=by,
        **{**taken_over, **amounts},
    )
    check(edition, labour, machines)
    edition.save()
    LabourRate.objects.bulk_create(
        LabourRate(edition=edition, skill=skill, per_hour=rate) for skill, rate in labour.items()
    )
    MachineRate.objects.bulk_create(
        MachineRate(edition=edition, station_kind=kind, per_hour=rate)
        for kind, rate in machines.items()
    )
    return edition


PLACES = {
    "overhead/rate": "overhead_rate",
    "profit/share": "profit_share",
}


def check(
    edition: RateEdition, labour: Mapping[str, Decimal], machines: Mapping[str, Decimal]
) -> None:
    """Raise RulesBroken for every figure that makes no sense, by the name of its field."""
    faults = [
        RuleBroken(f"labour/{name}", f"“{name}” is not a skill of this trade.")
        for name in labour
        if name not in set(Skill)
    ]
    faults += [
        RuleBroken(f"machine/{name}", f"“{name}” is not a kind of station.")
        for name in machines
        if name not in set(StationKind)
    ]
    book = RateBook(
        edition=edition.number,
        currency=edition.workshop.currency,
        labour=labour,
        machine=machines,
        overhead=Overhead(basis=OverheadBasis(edition.overhead_basis), rate=edition.overhead_rate),
        materials_handling=edition.materials_handling,
        contingency=edition.contingency,
        profit=Profit(basis=ProfitBasis(edition.profit_basis), share=edition.profit_share),
        tax_rate=edition.tax_rate,
        rounding=edition.rounding,
    )
    faults += [
        RuleBroken(PLACES.get(fault.field, fault.field), fault.message) for fault in book.faults()
    ]
    if faults:
        raise RulesBroken(faults)
