"""The rate book: read the edition in force, make the next one."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction

from costing.core.rates import Overhead, OverheadBasis, Profit, ProfitBasis, RateBook
from costing.models import RateEdition
from costing.services.rate_rows import Rows, departments_of
from orders.core.errors import NotReady
from shop.models import User, Workshop

AMOUNTS = (
    "overhead_basis",
    "overhead_rate",
    "materials_handling",
    "outwork_handling",
    "delivery_handling",
    "tariff_per_kwh",
    "rent_per_m2",
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


def rate_book(edition: RateEdition, on: date) -> RateBook:
    """An edition as the estimate reads it, with the tax of a day."""
    rows = list(edition.labour.all())
    return RateBook(
        edition=edition.number,
        currency=edition.workshop.currency,
        labour={rate.skill: rate.per_hour for rate in rows},
        machine={rate.station_kind: rate.per_hour for rate in edition.machines.all()},
        overhead=Overhead(
            basis=OverheadBasis(edition.overhead_basis),
            rate=edition.overhead_rate,
            departments=departments_of(rows),
        ),
        materials_handling=edition.materials_handling,
        outwork_handling=edition.outwork_handling,
        delivery_handling=edition.delivery_handling,
        contingency=edition.contingency,
        profit=Profit(basis=ProfitBasis(edition.profit_basis), share=edition.profit_share),
        tax_rate=tax_on(edition, on),
        rounding=edition.rounding,
    )


def tax_on(edition: RateEdition, on: date) -> Decimal:
    """The rate of tax on a day, in per cent."""
    rate: Decimal = edition.tax_rate
    for step in edition.tax_steps.all():
        if step.valid_from <= on:
            rate = step.rate
    return rate


@transaction.atomic
def new_edition(
    workshop: Workshop,
    *,
    by: User | None,
    valid_from: date,
    labour: Mapping[str, Decimal],
    machines: Mapping[str, Decimal],
    departments: Mapping[str, Decimal] | None = None,
    hands: Mapping[int, Decimal] | None = None,
    build_ups: Mapping[str, Mapping[str, Decimal]] | None = None,
    tax_steps: Mapping[date, Decimal] | None = None,
    **amounts: Any,
) -> RateEdition:
    """The next edition of the rate book; what is not given is taken over from the last one.

    `departments` is overhead per hour by skill, `hands` pay by the hand's id, `tax_steps` rates of
    tax by the day from which they hold. A machine that is built up from its parts, named as in
    PARTS, needs no rate: it follows. Raises RulesBroken for figures that make no sense: a margin of
    100 %, a negative rate, an unknown skill or kind of station.
    """
    workshop = Workshop.objects.select_for_update().get(pk=workshop.pk)
    last = RateEdition.objects.of(workshop).order_by("-number").first()
    taken_over = {name: getattr(last, name) for name in AMOUNTS if name != "note"} if last else {}
    edition = RateEdition(
        workshop=workshop,
        number=last.number + 1 if last else 1,
        valid_from=valid_from,
        made_by=by,
        **{**taken_over, **amounts},
    )
    rows = Rows.of(last).replaced(
        labour=labour,
        machines=machines,
        departments=departments,
        hands=hands,
        build_ups=build_ups,
        tax_steps=tax_steps,
    )
    rows.check(edition)
    rows = rows.built_up(edition)
    edition.save()
    rows.store(edition)
    return edition
