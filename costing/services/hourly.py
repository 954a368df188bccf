"""What an hour of an operation costs by the rate book: the hand, the machine and the roof.

An hour of a machine whose hand is paid for light work meanwhile costs no hand (`is_manned` is
false).
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from costing.core.money import ZERO
from costing.core.rates import OverheadBasis, RateBook
from costing.services.rates import rate_book, rates_in_force
from orders.core.errors import NotReady
from orders.core.times import MACHINES, StationKind
from shop.models import Workshop


def rates_on(workshop: Workshop, on: date) -> RateBook | None:
    """The rate book of a day, or None where the workshop has none yet."""
    try:
        return rate_book(rates_in_force(workshop, on), on)
    except NotReady:
        return None


def hour_cost(rates: RateBook, skill: str, station_kind: str, *, is_manned: bool = True) -> Decimal:
    """Labour, machine and shop overhead of an hour; a rate that is missing counts as nothing."""
    labour = rates.labour.get(skill, ZERO) if is_manned else ZERO
    is_machine = station_kind in {kind.value for kind in MACHINES}
    machine = rates.machine.get(StationKind(station_kind), ZERO) if is_machine else ZERO
    overhead = overhead_of_hour(rates, skill, labour, is_machine=is_machine, is_manned=is_manned)
    return labour + machine + overhead


def overhead_of_hour(
    rates: RateBook, skill: str, labour: Decimal, *, is_machine: bool, is_manned: bool = True
) -> Decimal:
    """Shop overhead of an hour, on whatever it is charged; on machines it is so without a hand."""
    if not is_manned and rates.overhead.basis is not OverheadBasis.MACHINE_HOUR:
        return ZERO
    if rates.overhead.basis is OverheadBasis.LABOUR_COST:
        return labour * rates.overhead.rate
    if rates.overhead.basis is OverheadBasis.DEPARTMENT:
        return rates.overhead.per_hour(skill)
    if rates.overhead.basis is OverheadBasis.MACHINE_HOUR and not is_machine:
        return ZERO
    return rates.overhead.rate
