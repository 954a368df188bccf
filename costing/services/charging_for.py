"""What should we charge for? Where joints lose money by type, wood and size, and the price they need."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from costing.core.money import ZERO
from costing.core.rates import RateBook
from costing.models import DoubtfulClocking
from costing.services.hourly import hour_cost
from costing.services.labour import Asked, Batch, joint_label, worked
from costing.services.labour_cell import size_words, species_words
from costing.services.learning import fit_of
from shop.models import Workshop

CENT = Decimal("0.01")


@dataclass(slots=True)
class _Sum:
    batches: int = 0
    pieces: int = 0
    standard: Decimal = ZERO
    taken: Decimal = ZERO


@dataclass(slots=True)
class Work:
    """One joint type in one wood and size: what a joint is charged, and what it costs.

    Amounts are for one joint, all its operations together, with everything on top but tax.
    """

    joint: str
    species: str
    size: str
    markup: Decimal
    operations: dict[str, _Sum] = field(default_factory=dict)

    @property
    def label(self) -> str:
        """The joint type in words."""
        return joint_label(self.joint)

    @property
    def batches(self) -> int:
        """Batches behind it."""
        return sum(one.batches for one in self.operations.values())

    @property
    def lost(self) -> Decimal:
        """What all of them cost beyond the standard."""
        lost = sum((one.taken - one.standard for one in self.operations.values()), ZERO)
        return lost.quantize(CENT)

    @property
    def charged(self) -> Decimal:
        """The price of a joint's labour at the standard."""
        return self._each("standard")

    @property
    def needed(self) -> Decimal:
        """The price that the next one needs."""
        return self._each("taken")

    @property
    def more(self) -> Decimal:
        """How much more that is."""
        return self.needed - self.charged

    def _each(self, which: str) -> Decimal:
        cost = sum((getattr(one, which) / one.pieces for one in self.operations.values()), ZERO)
        return (cost * self.markup).quantize(CENT)


def charging_for(workshop: Workshop, rates: RateBook, asked: Asked | None = None) -> list[Work]:
    """Each joint type, wood and size that was worked, the greatest loss first; three queries.

    Clockings that look wrong are left out.
    """
    fit = fit_of(workshop)
    doubts = DoubtfulClocking.objects.filter(fit=fit).values_list("operation_id", "hand_id")
    doubtful = set(doubts) if fit else set()
    markup = (1 + rates.contingency) * (1 + rates.profit.markup)
    found: dict[tuple[str, str, str], Work] = {}
    for batch in worked(workshop, asked or Asked()):
        is_doubtful = any((one.operation_id, one.hand_id) in doubtful for one in batch.stretches)
        if not batch.joint or is_doubtful:
            continue
        key = batch.joint, species_words(batch), size_words(batch)
        work = found.setdefault(key, Work(*key, markup=markup))
        _add(work, batch, rates)
    return sorted(found.values(), key=lambda one: -one.lost)


def _add(work: Work, batch: Batch, rates: RateBook) -> None:
    hourly = hour_cost(rates, batch.skill, batch.station_kind)
    total = work.operations.setdefault(batch.code, _Sum())
    total.batches += 1
    total.pieces += batch.pieces
    total.standard += Decimal(str(batch.standard_min / 60)) * hourly
    total.taken += Decimal(str(batch.taken_min / 60)) * hourly
