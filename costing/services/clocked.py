"""Clockings as the labour model reads them: one value for each done operation and hand.

An operation keeps the minutes of the edition it was released under. They are restated to the
edition in force, so that what was learned and adopted is not learned again.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property
from typing import Any

from django.db.models import Min, QuerySet
from django.utils import timezone

from costing.core.labour import BatchClocking, Change, PlannedBatch
from costing.models import ClockingJudgement, LabourChange
from costing.services.labour import SIDES, size_of
from orders.core.species import REFERENCE_HARDNESS_N, Species, all_species
from orders.core.stages import Stage
from orders.core.times import MARKING, Method, StandardTime, StandardTimes, restated
from orders.models import Operation, StandardEdition
from orders.models.commission import StageMove
from orders.services.fitting import jig_of
from orders.services.standards import current_edition, times_of
from shop.models import Clocking, Workshop

FORM = "1"
"""Changes when the values below are made otherwise, so that everything is learned again."""

REFERENCE_SECTION_MM = 45.0
"""The side of a usual square section; a choice that only says where the power of size is 1."""

SAME_MIN = 0.02
LEAST_MIN = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """All that one hand clocked on one operation, and what the standard in force says of it."""

    operation: int
    hand: int
    clocking: BatchClocking


@dataclass(frozen=True, kw_only=True)
class Read:
    """Everything that is learned from."""

    edition: StandardEdition
    spells: Sequence[Spell]
    left_out: Sequence[Spell]
    marked: tuple[Change, ...]
    refused: tuple[Change, ...]

    @property
    def clockings(self) -> list[BatchClocking]:
        """What the model is given."""
        return [spell.clocking for spell in self.spells]

    @cached_property
    def digest(self) -> str:
        """The same for the same: learning it again would bring nothing."""
        values = sorted(repr(clocking) for clocking in self.clockings)
        changes = [repr(change) for change in (*self.marked, "/", *self.refused)]
        text = "\n".join([FORM, str(self.edition.pk), *changes, *values])
        return hashlib.sha256(text.encode()).hexdigest()


def read(workshop: Workshop, edition: StandardEdition | None = None) -> Read:
    """What was clocked on done operations, less what was judged wrong; about eight queries.

    Minutes are those of `edition`, the one in force unless told. Work whose minutes a person gave
    for that very order says nothing of the standard and is left out. Raises NotReady if the
    workshop has no standard times.
    """
    edition = edition or current_edition(workshop)
    works = done_works(workshop, edition)
    judgements = ClockingJudgement.objects.of(workshop)
    judged = {(one.operation_id, one.hand_id): one for one in judgements}
    spells: list[Spell] = []
    left_out: list[Spell] = []
    for work in works:
        for spell in work.spells():
            said = judged.get((spell.operation, spell.hand))
            if said is None or abs(said.minutes - spell.clocking.taken_min) > SAME_MIN:
                spells.append(spell)
            elif said.is_sound:
                spells.append(_vouched(spell))
            else:
                left_out.append(spell)
    rows = LabourChange.objects.of(workshop).order_by("pk")
    return Read(
        edition=edition,
        spells=spells,
        left_out=left_out,
        marked=_changes(row for row in rows if row.state == LabourChange.State.MARKED),
        refused=_changes(row for row in rows if row.state == LabourChange.State.REFUSED),
    )


@dataclass(slots=True, kw_only=True)
class DoneWork:
    """One operation that is done: its standard as restated, and who clocked how much on it."""

    operation: int
    commission: int
    joint: str
    code: str
    method: str
    setup_min: float
    each_min: float
    hardness_ratio: float
    size_ratio: float
    minutes: dict[int, float] = field(default_factory=dict)
    pieces: dict[int, int] = field(default_factory=dict)
    last: dict[int, date] = field(default_factory=dict)

    def take(self, row: Mapping[str, Any]) -> None:
        """Add one clocking."""
        hand = row["hand_id"]
        taken = (row["ended_at"] - row["started_at"]).total_seconds() / 60
        self.minutes[hand] = self.minutes.get(hand, 0.0) + taken
        self.pieces[hand] = self.pieces.get(hand, 0) + row["pieces"]
        day = timezone.localdate(row["ended_at"])
        self.last[hand] = max(day, self.last.get(hand, day))

    def spells(self) -> Iterable[Spell]:
        """One for each hand who finished pieces; who only helped counts with who finished most."""
        makers = [hand for hand, pieces in self.pieces.items() if pieces]
        if not makers or self.setup_min + self.each_min <= 0:
            return
        most = max(makers, key=lambda hand: (self.pieces[hand], -hand))
        helped = sum(minutes for hand, minutes in self.minutes.items() if hand not in makers)
        total = sum(self.pieces.values())
        for hand in makers:
            taken = self.minutes[hand] + (helped if hand == most else 0.0)
            yield Spell(
                operation=self.operation,
                hand=hand,
                clocking=BatchClocking(
                    key=f"{self.operation}-{hand}",
                    joint=self.joint,
                    operation=self.code,
                    method=self.method,
                    hand=str(hand),
                    order=str(self.commission),
                    taken_min=max(LEAST_MIN, taken),
                    each_min=max(1e-6, self.each_min),
                    setup_min=self.setup_min * self.pieces[hand] / total,
                    pieces=self.pieces[hand],
                    hardness_ratio=self.hardness_ratio,
                    size_ratio=self.size_ratio,
                    day=float(self.last[hand].toordinal()),
                ),
            )


def done_works(workshop: Workshop, edition: StandardEdition) -> list[DoneWork]:
    """Every done operation that was clocked and follows a standard, by its number."""
    restater = Restater(workshop, edition)
    rows = Clocking.objects.of(workshop).filter(
        ended_at__isnull=False,
        operation__state=Operation.State.DONE,
        operation__extra__minutes__isnull=True,
    )
    works: dict[int, DoneWork] = {}
    columns = [f"operation__{name}" for name in OPERATION_COLUMNS]
    for row in rows.order_by("operation_id", "pk").values(*CLOCKING_COLUMNS, *columns).iterator():
        found = works.get(row["operation_id"])
        if found is None:
            found = works[row["operation_id"]] = restater.done_work(row)
        found.take(row)
    return list(works.values())


BEGUN = (Operation.State.RUNNING, Operation.State.PAUSED)
Planned = tuple[int, PlannedBatch]


def planned(
    workshop: Workshop, edition: StandardEdition, rows: QuerySet[Operation], *, left: bool = False
) -> dict[int, list[Planned]]:
    """Released operations as batches to foretell, restated, by commission.

    With `left` it is what is left of each: the pieces to do, and no set-up once it was begun. Each
    batch stands beside the operation's id. Work whose minutes a person gave is taken at those.
    """
    restater = Restater(workshop, edition)
    found: dict[int, list[Planned]] = {}
    for row in rows.order_by("commission", "number").values(*OPERATION_COLUMNS, "pk"):
        named = {f"operation__{name}": row[name] for name in OPERATION_COLUMNS}
        work = restater.done_work({**named, "operation_id": row["pk"]})
        is_begun = left and row["state"] in BEGUN
        found.setdefault(row["commission_id"], []).append(
            (
                row["pk"],
                PlannedBatch(
                    joint=work.joint,
                    operation=work.code,
                    method=work.method,
                    each_min=work.each_min,
                    setup_min=0.0 if is_begun else work.setup_min,
                    pieces=max(1, row["pieces"] - (row["pieces_done"] if left else 0)),
                    hardness_ratio=work.hardness_ratio,
                    size_ratio=work.size_ratio,
                ),
            )
        )
    return found


CLOCKING_COLUMNS = ("operation_id", "hand_id", "started_at", "ended_at", "pieces")
OPERATION_COLUMNS = (
    "commission_id",
    "code",
    "method",
    "pieces",
    "pieces_done",
    "state",
    "setup_min",
    "each_min",
    "joint__type",
    "joint__jig",
    "joint__part_a__species",
    "joint__part_b__species",
    *(f"joint__{side}" for side in SIDES),
)


class Restater:
    """Gives operations the minutes of the edition in force, from those of their own edition."""

    def __init__(self, workshop: Workshop, edition: StandardEdition) -> None:
        editions = list(StandardEdition.objects.of(workshop).order_by("-number"))
        self.editions = [(one, rows_by_cell(times_of(one))) for one in editions]
        self.now = rows_by_cell(times_of(edition))
        moves = StageMove.objects.filter(
            commission__workshop=workshop, to_stage=Stage.IN_WORK.value
        )
        self.released: dict[int, datetime] = dict(
            moves.values_list("commission_id").annotate(first=Min("at"))
        )

    def done_work(self, row: Mapping[str, Any]) -> DoneWork:
        """An operation with its minutes restated; without a row in both editions they stay."""
        joint = row["operation__joint__type"] or ""
        code, method = row["operation__code"], row["operation__method"] or "hand"
        now = row_of(self.now, joint, code, method)
        then = row_of(self._rows_then(row["operation__commission_id"]), joint, code, method)
        wood = _wood(row)
        setup, each = row["operation__setup_min"], row["operation__each_min"]
        if now is not None and then is not None and now is not then:
            factor = wood.time_factor if wood and then.cuts_wood else 1.0
            factor *= _jig_share(row["operation__joint__jig"], code)
            each = max(0.0, restated(each, then, now, factor))
            setup = max(0.0, setup + now.setup_min - then.setup_min)
        is_cut = bool(wood and (now is None or now.cuts_wood))
        return DoneWork(
            operation=row["operation_id"],
            commission=row["operation__commission_id"],
            joint=joint,
            code=code,
            method=now.method.value if now else method,
            setup_min=setup,
            each_min=each,
            hardness_ratio=wood.hardness_n / REFERENCE_HARDNESS_N if wood and is_cut else 1.0,
            size_ratio=(size_of(row) or REFERENCE_SECTION_MM) / REFERENCE_SECTION_MM,
        )

    def _rows_then(self, commission: int) -> Cells:
        """The rows of the edition that was in force when a commission was released."""
        at = self.released.get(commission)
        if at is not None:
            day = timezone.localdate(at)
            for edition, rows in self.editions:
                if edition.valid_from <= day and edition.made_at <= at:
                    return rows
        return self.editions[-1][1]


Cells = Mapping[tuple[str, str, Method], StandardTime]


def rows_by_cell(times: StandardTimes) -> Cells:
    """The rows of an edition by joint type, operation and method."""
    return {(row.joint, row.operation, row.method): row for row in times.rows}


def row_of(rows: Cells, joint: str, operation: str, method: str) -> StandardTime | None:
    """The row that times an operation done by a method, or None: driving a fixing has none."""
    return rows.get((joint, operation, Method(method))) or rows.get((joint, operation, Method.BOTH))


def _wood(row: Mapping[str, Any]) -> Species | None:
    """The harder of the two parts of a joint."""
    known = all_species()
    codes = [row[f"operation__joint__part_{side}__species"] for side in "ab"]
    woods = [known[code] for code in codes if code in known]
    return max(woods, key=lambda wood: wood.hardness_n) if woods else None


def _jig_share(carried: str | None, code: str) -> float:
    jig = jig_of(carried or "")
    if jig is None:
        return 1.0
    if code == MARKING:
        return jig.marking_share
    return jig.share if code in jig.operations else 1.0


def _vouched(spell: Spell) -> Spell:
    return replace(spell, clocking=replace(spell.clocking, is_vouched=True))


def _changes(rows: Iterable[LabourChange]) -> tuple[Change, ...]:
    return tuple(
        Change(
            operation=row.operation,
            method=row.method,
            joint=row.joint,
            day=float(row.on.toordinal()),
        )
        for row in rows
    )
