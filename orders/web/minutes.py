"""The minutes beside a selection: of a joint's operations, an assembly's work, a commission."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from orders.core.errors import WorkshopError
from orders.core.times import TimedOperation
from orders.models import Assembly, Commission, Joint, Operation
from orders.services.breakdown import AssemblyLine, Breakdown, breakdown
from orders.services.standards import current_times

from .formats import TIMES, figure


@dataclass(frozen=True, slots=True, kw_only=True)
class MinuteRow:
    """One line: what it is, how far it is, how its minutes come about."""

    label: str
    minutes: float
    url: str = ""
    made_of: str = ""
    state: str = ""
    word: str = ""
    depth: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Minutes:
    """The lines that belong to what is selected, and their sum."""

    edition: int
    rows: Sequence[MinuteRow]
    sum_label: str
    fault: str = ""

    @property
    def total(self) -> float:
        """The sum of the lines."""
        return sum(row.minutes for row in self.rows)

    @property
    def has_states(self) -> bool:
        """Whether the work was released, so that each line stands somewhere."""
        return any(row.state for row in self.rows)


def minutes_of(
    commission: Commission, *, assembly: Assembly | None = None, joint: Joint | None = None
) -> Minutes:
    """The minutes of a joint, of an assembly, or of the whole commission."""
    times = current_times(commission.workshop)
    try:
        lines = breakdown(commission, times)
    except WorkshopError as fault:
        return Minutes(edition=times.edition, rows=(), sum_label="", fault=fault.message)
    if joint is not None:
        rows, label = joint_rows(lines, joint), f"{joint.mark}, {joint.count} of"
    elif assembly is not None:
        line = next(line for line in lines.assemblies if line.id == assembly.pk)
        rows, label = assembly_rows(line), f"{assembly.name}, {line.total} of"
    else:
        rows, label = commission_rows(lines), "Whole commission"
    return Minutes(edition=times.edition, rows=rows, sum_label=label)


def joint_rows(lines: Breakdown, joint: Joint) -> list[MinuteRow]:
    """Operation by operation; once released with their states and the minutes frozen then."""
    released = list(joint.operations.all())
    if released:
        return [released_row(operation, joint.mark) for operation in released]
    operations = next(
        line.operations for one in lines.assemblies for line in one.joints if line.id == joint.pk
    )
    return [timed_row(operation) for operation in operations]


def timed_row(operation: TimedOperation) -> MinuteRow:
    """An operation that is not released yet."""
    return MinuteRow(
        label=operation.label,
        minutes=operation.total_min,
        made_of=made_of(operation.setup_min, operation.count, operation.each_min),
    )


def released_row(operation: Operation, mark: str) -> MinuteRow:
    """An operation at the bench; the joint's mark, which its name ends in, stands above."""
    is_partly = 0 < operation.pieces_done < operation.pieces
    return MinuteRow(
        label=operation.name.removesuffix(f", {mark}"),
        minutes=operation.minutes,
        made_of=made_of(operation.setup_min, operation.pieces, operation.each_min),
        state=operation.state,
        word=f"{operation.pieces_done} of {operation.pieces}"
        if is_partly
        else Operation.State(operation.state).label,
    )


def made_of(setup_min: float, count: float, each_min: float) -> str:
    """Set-up and pieces as they are written in a column: 14 + 8 × 4.2."""
    pieces = f"{count:g}{TIMES}{figure(each_min)}"
    return f"{figure(setup_min, 0)} + {pieces}" if setup_min else pieces


def assembly_rows(line: AssemblyLine) -> list[MinuteRow]:
    """Joint by joint, then the work that belongs to none."""
    of_joints = [
        MinuteRow(
            label=f"{joint.mark} {joint.name or joint.label.lower()}",
            url=reverse("joint", args=[joint.id]),
            minutes=total(joint.operations),
        )
        for joint in line.joints
    ]
    others = [MinuteRow(label=one.name, minutes=one.timed.total_min) for one in line.extras]
    return [*of_joints, *others]


def commission_rows(lines: Breakdown) -> list[MinuteRow]:
    """Assembly by assembly, each without those within it."""
    return [
        MinuteRow(
            label=line.name,
            url=reverse("assembly", args=[line.id]),
            minutes=line.minutes,
            depth=line.depth,
        )
        for line in lines.assemblies
    ]


def total(operations: Iterable[Any]) -> float:
    """Their minutes together."""
    return float(sum(operation.total_min for operation in operations))
