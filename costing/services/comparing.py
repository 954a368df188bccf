"""What alternatives to a joint cost: their labour, their machines and their glue, side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from costing.core.glue import glue_g
from costing.core.money import ZERO, rounded
from costing.core.rack import Rack
from costing.core.rates import RateBook
from costing.services.rack import rack_of
from costing.services.rates import rate_book, rates_in_force
from orders.core.alternatives import Alternative, Comparison
from orders.core.errors import WorkshopError
from orders.core.exposure import DurabilityClass, taken_class
from orders.core.times import TimedOperation
from orders.models import Commission, Joint
from orders.services.standards import current_times
from orders.services.swapping import alternatives_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """An alternative with what it costs by hand and by machine; absent where a rate is missing."""

    alternative: Alternative
    by_hand: Decimal | None
    by_machine: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """Alternatives to a joint, for as many of it as the whole commission has."""

    joint: Joint
    count: int
    currency: str
    priced: tuple[Priced, ...]
    comparison: Comparison


def compared(joint: Joint, on: date) -> Compared:
    """The alternatives of a joint with their direct cost; raises RuleBroken as they do."""
    commission: Commission = joint.assembly.commission
    times = current_times(commission.workshop, on)
    count = joint.count * _made(commission, joint)
    comparison = alternatives_of(joint, times, count=count)
    book, rack = _books(commission, on)
    glue = taken_class(commission.exposure, commission.glue_class, commission.glue_reason)
    return Compared(
        joint=joint,
        count=count,
        currency=commission.workshop.currency,
        comparison=comparison,
        priced=tuple(
            Priced(
                alternative=one,
                by_hand=_cost(one.by_hand, one, count, book, rack, glue),
                by_machine=_cost(one.by_machine, one, count, book, rack, glue),
            )
            for one in comparison.fitting
        ),
    )


def _made(commission: Commission, joint: Joint) -> int:
    """How many of the joint's assembly the commission has."""
    above = {one.pk: one for one in commission.assemblies.all()}
    total, key = 1, joint.assembly_id
    while key is not None:
        total *= above[key].quantity
        key = above[key].parent_id
    return total


def _books(commission: Commission, on: date) -> tuple[RateBook | None, Rack]:
    rack = rack_of(commission.workshop)
    try:
        return rate_book(rates_in_force(commission.workshop, on), on), rack
    except WorkshopError:
        return None, rack


def _cost(
    operations: Sequence[TimedOperation],
    alternative: Alternative,
    count: int,
    book: RateBook | None,
    rack: Rack,
    glue: DurabilityClass,
) -> Decimal | None:
    """Labour, machines and glue of one alternative, without what is charged on top of them."""
    if book is None or not operations:
        return None
    total = ZERO
    for operation in operations:
        hourly = book.labour.get(operation.skill)
        if hourly is None:
            return None
        machine = book.machine.get(operation.station_kind, ZERO)
        total += Decimal(repr(round(operation.total_min, 6))) * (hourly + machine) / 60
    try:
        shelf = rack.glue_for(glue)
    except WorkshopError:
        return rounded(total, book.currency)
    grams = glue_g(alternative.study.glue.total_mm2 * count, shelf.spread_g_per_m2)
    total += Decimal(repr(round(grams, 6))) * shelf.price_per_kg / 1000
    return rounded(total, book.currency)
