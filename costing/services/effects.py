"""What the learned times would do to open quotes, and what they cost this year."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils import timezone

from costing.core.money import ZERO
from costing.core.rates import RateBook
from costing.models import LabourFit, LearnedCell, Quote
from costing.services.clocked import Read, row_of, rows_by_cell
from costing.services.hourly import hour_cost, rates_on
from orders.core.errors import NotReady
from orders.core.times import StandardTime, StandardTimes
from orders.models import Commission
from orders.services.breakdown import breakdown
from orders.services.standards import times_of
from shop.models import Workshop

Cell = tuple[str, str, str]
CENT = Decimal("0.01")


@dataclass(slots=True)
class Minutes:
    """Standard minutes of the set-ups and of the pieces of a cell."""

    setup: float = 0.0
    pieces: float = 0.0

    def add(self, setup: float, pieces: float) -> None:
        """Add some."""
        self.setup += setup
        self.pieces += pieces


def reckon(fit: LabourFit, found: Read) -> None:
    """Write the effects beside each cell; left empty where there are no rates."""
    rates = rates_on(fit.workshop, timezone.localdate())
    if rates is None:
        fit.cells.update(quotes_effect=None, year_effect=None)
        return
    rows = rows_by_cell(times_of(fit.edition))
    quoted, worked = _quoted(fit.workshop, fit), _worked(found)
    cells = list(fit.cells.all())
    for cell in cells:
        key = cell.joint, cell.operation, cell.method
        row = row_of(rows, *key)
        cell.quotes_effect = _effect(cell, row, rates, quoted.get(key))
        cell.year_effect = _effect(cell, row, rates, worked.get(key))
    LearnedCell.objects.bulk_update(cells, ["quotes_effect", "year_effect"])


def _effect(
    cell: LearnedCell, row: StandardTime | None, rates: RateBook, minutes: Minutes | None
) -> Decimal:
    """What these minutes cost more at the learned ratio than at the standard."""
    if row is None or minutes is None:
        return ZERO.quantize(CENT)
    more = minutes.setup * (cell.new_setup_ratio - 1) + minutes.pieces * (cell.each_ratio - 1)
    cost = Decimal(str(more / 60)) * hour_cost(rates, row.skill.value, row.station_kind.value)
    return cost.quantize(CENT)


def _quoted(workshop: Workshop, fit: LabourFit) -> Mapping[Cell, Minutes]:
    """Standard minutes of all that is quoted and not answered."""
    times = times_of(fit.edition)
    rows = rows_by_cell(times)
    found: dict[Cell, Minutes] = {}
    open_quotes = Quote.objects.of(workshop).filter(state=Quote.State.ISSUED)
    commissions = Commission.objects.filter(pk__in=open_quotes.values("commission"))
    for commission in commissions.select_related("workshop"):
        for joint, code, method, setup, pieces in _timed(commission, times):
            row = row_of(rows, joint, code, method)
            if row is not None:
                key = joint, code, row.method.value
                found.setdefault(key, Minutes()).add(setup, pieces)
    return found


def _timed(
    commission: Commission, times: StandardTimes
) -> Iterator[tuple[str, str, str, float, float]]:
    """The timed operations of a commission; none of one that breaks its rules by now."""
    try:
        lines = breakdown(commission, times)
    except NotReady:
        return
    for assembly in lines.assemblies:
        for one in assembly.operations:
            yield one.joint, one.code, one.method.value, one.setup_min, one.count * one.each_min


def _worked(found: Read) -> Mapping[Cell, Minutes]:
    """Standard minutes of what was done this year, up to the last day clocked."""
    last = max((spell.clocking.day for spell in found.spells), default=0.0)
    since = date.fromordinal(int(last)).replace(month=1, day=1).toordinal() if last else 0
    minutes: dict[Cell, Minutes] = {}
    for one in (spell.clocking for spell in found.spells):
        if one.day >= since:
            key = one.joint, one.operation, one.method
            minutes.setdefault(key, Minutes()).add(one.setup_min, one.pieces * one.each_min)
    return minutes
