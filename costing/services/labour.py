"""Labour per joint type: the standard and the clocked minutes of every batch that was worked."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from costing.core.labour import LabourLine, LabourRecord, labour_by_joint_type
from costing.core.money import ZERO
from costing.core.rates import RateBook
from costing.services.hourly import hour_cost
from orders.core.book import joint_types
from orders.core.species import all_species
from shop.core.minding import Attention
from shop.models import Clocking, Workshop
from shop.services.paid import Run, unpaid_in

NO_JOINT = ""
NO_JOINT_LABEL = "Belongs to no joint"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Which batches are looked at; empty is all of them."""

    since: date | None = None
    until: date | None = None
    species: str = ""
    method: str = ""
    joint: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """One clocking behind a line; in `unpaid_min` of its minutes its hand is paid for light work."""

    clocking: int
    operation_id: int
    hand_id: int
    commission: int
    mark: str
    operation: str
    hand: str
    started_at: datetime
    minutes: float
    pieces: int
    is_invented: bool
    unpaid_min: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OperationLabour:
    """One operation of a joint type: its figures and its name.

    `lost` is what the minutes above the standard cost, below 0 where time was gained; None where
    there are no rates.
    """

    name: str
    line: LabourLine
    lost: Decimal | None = None

    @property
    def lost_min(self) -> float:
        """Minutes taken beyond the standard."""
        return self.line.taken_min - self.line.standard_min


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
    skill: str
    station_kind: str
    species: tuple[str, ...]
    setup_min: float
    each_min: float
    spread: float
    size_mm: float | None
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

    @property
    def ended_on(self) -> date:
        """The day of the last clocking."""
        return timezone.localdate(max(stretch.started_at for stretch in self.stretches))

    def lost_at(self, rates: RateBook) -> Decimal:
        """What the minutes beyond the standard cost; those of a hand paid elsewhere, the machine."""
        unpaid_min = sum(stretch.unpaid_min for stretch in self.stretches)
        hours = Decimal(str((self.taken_min - unpaid_min - self.standard_min) / 60))
        alone = hour_cost(rates, self.skill, self.station_kind, is_manned=False)
        return (
            hours * hour_cost(rates, self.skill, self.station_kind)
            + Decimal(str(unpaid_min / 60)) * alone
        )


def labour(
    workshop: Workshop, asked: Asked | None = None, rates: RateBook | None = None
) -> tuple[JointLabour, ...]:
    """Estimated against taken minutes by joint type and operation; one query, or two with minded runs.

    A batch counts for the pieces that were finished; one that finished none is left out. Where
    `rates` are given, what was lost is reckoned by them.
    """
    batches = worked(workshop, asked or Asked())
    names = {(batch.joint, batch.code): batch.name for batch in batches}
    lost = _lost(batches, rates) if rates else {}
    lines = labour_by_joint_type([record_of(batch) for batch in batches])
    found: dict[str, list[OperationLabour]] = {}
    for line in lines:
        place = line.joint_type, line.operation
        one = OperationLabour(name=names[place], line=line, lost=lost.get(place))
        found.setdefault(line.joint_type, []).append(one)
    return tuple(
        JointLabour(code=code, label=joint_label(code), operations=tuple(operations))
        for code, operations in sorted(found.items(), key=lambda item: joint_label(item[0]))
    )


def _lost(batches: Iterable[Batch], rates: RateBook) -> dict[tuple[str, str], Decimal]:
    """What was lost on each operation of a joint type."""
    lost: dict[tuple[str, str], Decimal] = {}
    for batch in batches:
        place = batch.joint, batch.code
        lost[place] = lost.get(place, ZERO) + batch.lost_at(rates)
    return lost


def joint_label(code: str) -> str:
    """A joint type in words, also one that the book no longer has."""
    known = joint_types().get(code)
    return known.label if known else (code or NO_JOINT_LABEL)


def species_clocked(workshop: Workshop) -> tuple[tuple[str, str], ...]:
    """The species that were worked, by code and label."""
    labels: Mapping[str, str] = {code: one.label for code, one in all_species().items()}
    clocked = Clocking.objects.of(workshop).filter(operation__joint__isnull=False).order_by()
    parts = [f"operation__joint__part_{side}__species" for side in "ab"]
    found = {code for pair in clocked.values_list(*parts).distinct() for code in pair}
    named = [(code, labels[code]) for code in found if code in labels]
    return tuple(sorted(named, key=lambda one: one[1]))


def joints_clocked(workshop: Workshop) -> tuple[tuple[str, str], ...]:
    """The joint types that were worked, by code and label."""
    codes = Clocking.objects.of(workshop).filter(operation__joint__isnull=False)
    found = codes.order_by().values_list("operation__joint__type", flat=True).distinct()
    return tuple(sorted(((code, joint_label(code)) for code in found), key=lambda one: one[1]))


def worked(workshop: Workshop, asked: Asked) -> list[Batch]:
    """Every batch with its ended clockings; those without a finished piece are left out."""
    rows = list(_asked(Clocking.objects.of(workshop), asked).values(*COLUMNS))
    unpaid = unpaid_in(
        Run(row["pk"], row["hand_id"], (row["started_at"], row["ended_at"]))
        for row in rows
        if row["attention"] == Attention.MINDED
    )
    batches: dict[int, Batch] = {}
    for row in rows:
        operation = row["operation_id"]
        if operation not in batches:
            batches[operation] = _batch(row)
        batches[operation].stretches.append(_stretch(row, unpaid))
    return [batch for batch in batches.values() if batch.pieces and _is_wanted(batch, asked)]


SIDES = tuple(f"part_{part}__{measure}_mm" for part in "ab" for measure in ("width", "thickness"))
COLUMNS = (
    "pk",
    "operation_id",
    "started_at",
    "ended_at",
    "pieces",
    "is_invented",
    "attention",
    "hand_id",
    "hand__name",
    "operation__code",
    "operation__name",
    "operation__number",
    "operation__method",
    "operation__skill",
    "operation__station_kind",
    "operation__spread",
    "operation__setup_min",
    "operation__each_min",
    "operation__commission_id",
    "operation__commission__number",
    "operation__joint__mark",
    "operation__joint__type",
    "operation__joint__part_a__species",
    "operation__joint__part_b__species",
    *(f"operation__joint__{side}" for side in SIDES),
)


def _asked(rows: QuerySet[Clocking], asked: Asked) -> QuerySet[Clocking]:
    rows = rows.filter(ended_at__isnull=False).order_by("started_at", "pk")
    if asked.since:
        rows = rows.filter(started_at__gte=_midnight(asked.since))
    if asked.until:
        rows = rows.filter(started_at__lte=_midnight(asked.until, time.max))
    if asked.method:
        rows = rows.filter(operation__method=asked.method)
    if asked.joint:
        rows = rows.filter(operation__joint__type=asked.joint)
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
        skill=row["operation__skill"],
        station_kind=row["operation__station_kind"],
        spread=row["operation__spread"],
        size_mm=size_of(row),
        species=tuple(sorted(one for one in species if one)),
        setup_min=row["operation__setup_min"],
        each_min=row["operation__each_min"],
    )


def size_of(row: Mapping[str, Any]) -> float | None:
    """The mean side of the sections of a joint's two parts; None where there is no joint."""
    sides = [row[f"operation__joint__{side}"] for side in SIDES]
    if any(side is None for side in sides):
        return None
    return float(math.prod(float(side) for side in sides) ** (1 / len(sides)))


def _stretch(row: Mapping[str, Any], unpaid: Mapping[int, timedelta]) -> Stretch:
    return Stretch(
        clocking=row["pk"],
        operation_id=row["operation_id"],
        hand_id=row["hand_id"],
        commission=row["operation__commission_id"],
        mark=f"{row['operation__commission__number']:04d}.{row['operation__number']:02d}",
        operation=row["operation__name"],
        hand=row["hand__name"],
        started_at=row["started_at"],
        minutes=(row["ended_at"] - row["started_at"]).total_seconds() / 60,
        pieces=row["pieces"],
        is_invented=row["is_invented"],
        unpaid_min=unpaid.get(row["pk"], timedelta()) / timedelta(minutes=1),
    )


def record_of(batch: Batch) -> LabourRecord:
    """A batch as the core reads it."""
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
