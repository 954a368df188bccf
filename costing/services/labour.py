"""Labour per joint type: the standard and the clocked minutes of every batch that was worked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from costing.core.labour import LabourLine, LabourRecord, labour_by_joint_type
from orders.core.book import joint_types
from orders.core.species import all_species
from shop.models import Clocking, Workshop

NO_JOINT = ""
NO_JOINT_LABEL = "Belongs to no joint"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Which batches are looked at; empty is all of them."""

    since: date | None = None
    until: date | None = None
    species: str = ""
    method: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """One clocking behind a line."""

    clocking: int
    commission: int
    mark: str
    operation: str
    hand: str
    started_at: datetime
    minutes: float
    pieces: int
    is_invented: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OperationLabour:
    """One operation of a joint type: its figures and its name."""

    name: str
    line: LabourLine


@dataclass(frozen=True, slots=True, kw_only=True)
class JointLabour:
    """A joint type with its operations, in alphabetical order."""

    code: str
    label: str
    operations: tuple[OperationLabour, ...]

    @property
    def standard_min(self) -> float:
        """Standard minutes of all that was worked."""
        return sum(one.line.standard_min for one in self.operations)

    @property
    def taken_min(self) -> float:
        """Clocked minutes."""
        return sum(one.line.taken_min for one in self.operations)

    @property
    def clockings(self) -> int:
        """How many clockings that is."""
        return sum(one.line.clockings for one in self.operations)


@dataclass(slots=True)
class Batch:
    """All clockings of one operation of an order."""

    joint: str
    code: str
    name: str
    method: str
    species: tuple[str, ...]
    setup_min: float
    each_min: float
    stretches: list[Stretch] = field(default_factory=list)

    @property
    def pieces(self) -> int:
        """Pieces finished in all of them."""
        return sum(stretch.pieces for stretch in self.stretches)

    @property
    def taken_min(self) -> float:
        """Minutes of all of them."""
        return sum(stretch.minutes for stretch in self.stretches)

    @property
    def standard_min(self) -> float:
        """The standard for the pieces that were finished."""
        return self.setup_min + self.pieces * self.each_min


def labour(workshop: Workshop, asked: Asked | None = None) -> tuple[JointLabour, ...]:
    """Estimated against taken minutes by joint type and operation; one query.

    A batch counts for the pieces that were finished; one that finished none is left out.
    """
    batches = worked(workshop, asked or Asked())
    names = {(batch.joint, batch.code): batch.name for batch in batches}
    lines = labour_by_joint_type([_record(batch) for batch in batches])
    found: dict[str, list[OperationLabour]] = {}
    for line in lines:
        name = names[line.joint_type, line.operation]
        found.setdefault(line.joint_type, []).append(OperationLabour(name=name, line=line))
    return tuple(
        JointLabour(code=code, label=joint_label(code), operations=tuple(operations))
        for code, operations in sorted(found.items(), key=lambda item: joint_label(item[0]))
    )


def behind(
    workshop: Workshop, joint: str, operation: str, asked: Asked | None = None
) -> tuple[Stretch, ...]:
    """The clockings behind a line, the newest first."""
    stretches = [
        stretch
        for batch in worked(workshop, asked or Asked())
        if (batch.joint, batch.code) == (joint, operation)
        for stretch in batch.stretches
    ]
    return tuple(sorted(stretches, key=lambda one: one.started_at, reverse=True))


def joint_label(code: str) -> str:
    """A joint type in words, also one that the book no longer has."""
    known = joint_types().get(code)
    return known.label if known else (code or NO_JOINT_LABEL)


def species_clocked(workshop: Workshop) -> tuple[tuple[str, str], ...]:
    """The species that were worked, by code and label."""
    labels: Mapping[str, str] = {code: one.label for code, one in all_species().items()}
    found = {
        species
        for batch in worked(workshop, Asked())
        for species in batch.species
        if species in labels
    }
    return tuple(sorted(((code, labels[code]) for code in found), key=lambda one: one[1]))


def worked(workshop: Workshop, asked: Asked) -> list[Batch]:
    """Every batch with its ended clockings; those without a finished piece are left out."""
    batches: dict[int, Batch] = {}
    for row in _asked(Clocking.objects.of(workshop), asked).values(*COLUMNS):
        operation = row["operation_id"]
        if operation not in batches:
            batches[operation] = _batch(row)
        batches[operation].stretches.append(_stretch(row))
    return [batch for batch in batches.values() if batch.pieces and _is_wanted(batch, asked)]


COLUMNS = (
    "pk",
    "operation_id",
    "started_at",
    "ended_at",
    "pieces",
    "is_invented",
    "hand__name",
    "operation__code",
    "operation__name",
    "operation__number",
    "operation__method",
    "operation__setup_min",
    "operation__each_min",
    "operation__commission_id",
    "operation__commission__number",
    "operation__joint__mark",
    "operation__joint__type",
    "operation__joint__part_a__species",
    "operation__joint__part_b__species",
)


def _asked(rows: QuerySet[Clocking], asked: Asked) -> QuerySet[Clocking]:
    rows = rows.filter(ended_at__isnull=False).order_by("started_at", "pk")
    if asked.since:
        rows = rows.filter(started_at__gte=_midnight(asked.since))
    if asked.until:
        rows = rows.filter(started_at__lte=_midnight(asked.until, time.max))
    if asked.method:
        rows = rows.filter(operation__method=asked.method)
    return rows


def _midnight(on: date, at: time = time.min) -> datetime:
    return timezone.make_aware(datetime.combine(on, at))


def _is_wanted(batch: Batch, asked: Asked) -> bool:
    is_timed = batch.standard_min > 0 and batch.taken_min > 0
    return is_timed and (not asked.species or asked.species in batch.species)


def _batch(row: Mapping[str, Any]) -> Batch:
    mark = row["operation__joint__mark"]
    species = {row["operation__joint__part_a__species"], row["operation__joint__part_b__species"]}
    return Batch(
        joint=row["operation__joint__type"] or NO_JOINT,
        code=row["operation__code"],
        name=row["operation__name"].removesuffix(f", {mark}"),
        method=row["operation__method"],
        species=tuple(sorted(one for one in species if one)),
        setup_min=row["operation__setup_min"],
        each_min=row["operation__each_min"],
    )


def _stretch(row: Mapping[str, Any]) -> Stretch:
    return Stretch(
        clocking=row["pk"],
        commission=row["operation__commission_id"],
        mark=f"{row['operation__commission__number']:04d}.{row['operation__number']:02d}",
        operation=row["operation__name"],
        hand=row["hand__name"],
        started_at=row["started_at"],
        minutes=(row["ended_at"] - row["started_at"]).total_seconds() / 60,
        pieces=row["pieces"],
        is_invented=row["is_invented"],
    )


def _record(batch: Batch) -> LabourRecord:
    return LabourRecord(
        joint_type=batch.joint,
        operation=batch.code,
        standard_min=batch.standard_min,
        taken_min=batch.taken_min,
        count=batch.pieces,
        method=batch.method or "hand",
        hand=_most(batch.stretches),
        species=" ".join(batch.species),
        clockings=len(batch.stretches),
    )


def _most(stretches: Sequence[Stretch]) -> str:
    """The hand who clocked most on a batch."""
    minutes: dict[str, float] = {}
    for stretch in stretches:
        minutes[stretch.hand] = minutes.get(stretch.hand, 0.0) + stretch.minutes
    return max(minutes, key=lambda hand: (minutes[hand], hand))
