"""One operation of a joint type: its batches, what was learned of it, and how they group."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from costing.core.labour import LabourLine, labour_by_joint_type
from costing.models import DoubtfulClocking, LearnedCell
from costing.services.labour import Asked, Batch, Stretch, record_of, worked
from costing.services.learning import fit_of
from orders.core.species import all_species
from shop.models import Workshop

SIZES = ((30.0, "below 30 mm"), (50.0, "30 to 50 mm"), (80.0, "50 to 80 mm"))
BATCHES = ((1, "1 piece"), (4, "2 to 4 pieces"), (9, "5 to 9 pieces"))
WAYS = {"hand": "by hand", "machine": "by machine"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Batches set side by side by one of their qualities."""

    quality: str
    lines: tuple[LabourLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CellLabour:
    """All that is known of one operation of a joint type."""

    joint: str
    operation: str
    name: str
    batches: tuple[Batch, ...]
    learned: tuple[LearnedCell, ...]
    doubtful: frozenset[tuple[int, int]]

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """The clockings behind it, the newest first."""
        every = [stretch for batch in self.batches for stretch in batch.stretches]
        return tuple(sorted(every, key=lambda one: one.started_at, reverse=True))

    @property
    def spread(self) -> float:
        """The spread of the logarithm of one time about its standard."""
        return max((batch.spread for batch in self.batches), default=0.3)

    def is_doubtful(self, batch: Batch) -> bool:
        """Whether any clocking of a batch looks wrong."""
        return any((one.operation_id, one.hand_id) in self.doubtful for one in batch.stretches)

    def groups(self, *, with_hands: bool = False) -> tuple[Group, ...]:
        """The batches by species, size, number, method and month, and by hand for who may see it."""
        qualities: list[tuple[str, Callable[[Batch], str]]] = [
            ("species", species_words),
            ("section", size_words),
            ("batch", _number),
            ("method", _method),
            ("month", lambda batch: f"{batch.ended_on:%Y-%m}"),
        ]
        if with_hands:
            qualities.append(("hand", lambda batch: record_of(batch).hand))
        return tuple(
            Group(quality=quality, lines=_lines(self.batches, name_of))
            for quality, name_of in qualities
        )


def cell_labour(
    workshop: Workshop, joint: str, operation: str, asked: Asked | None = None
) -> CellLabour:
    """One operation of a joint type; four queries."""
    batches = [
        batch
        for batch in worked(workshop, replace(asked or Asked(), joint=joint))
        if (batch.joint, batch.code) == (joint, operation)
    ]
    fit = fit_of(workshop)
    cells = LearnedCell.objects.filter(fit=fit, joint=joint, operation=operation)
    doubts = DoubtfulClocking.objects.filter(fit=fit).values_list("operation_id", "hand_id")
    return CellLabour(
        joint=joint,
        operation=operation,
        name=batches[-1].name if batches else operation,
        batches=tuple(batches),
        learned=tuple(cells) if fit else (),
        doubtful=frozenset(doubts) if fit else frozenset(),
    )


def _lines(batches: Sequence[Batch], name_of: Callable[[Batch], str]) -> tuple[LabourLine, ...]:
    records = [replace(record_of(batch), operation=name_of(batch)) for batch in batches]
    return labour_by_joint_type(records)


def species_words(batch: Batch) -> str:
    """The woods of a batch in words."""
    known = all_species()
    names = [known[code].label if code in known else code for code in batch.species]
    return " and ".join(names) or "of no joint"


def size_words(batch: Batch) -> str:
    """The section of a batch in words."""
    if batch.size_mm is None:
        return "of no joint"
    return next((label for most, label in SIZES if batch.size_mm < most), "80 mm and more")


def _number(batch: Batch) -> str:
    return next((label for most, label in BATCHES if batch.pieces <= most), "10 pieces and more")


def _method(batch: Batch) -> str:
    return WAYS.get(batch.method, "either way")
