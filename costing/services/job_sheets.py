"""What the bench is told of an assembly: parts, joints, operations in order, glue, cautions."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from costing.models import Glue
from costing.services.papers import Shop, shop_of
from orders.core.exposure import DurabilityClass, Exposure, clamp_times_min
from orders.core.figures import cautions
from orders.models import Commission, Operation
from orders.services.breakdown import AssemblyLine, Breakdown, JointLine, PartLine, breakdown
from orders.services.standards import current_times
from orders.services.working_order import Step, working_order

ClockAddress = Callable[[int], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobOperation:
    """One operation in working order; `address` is its clock page, "" before the release."""

    mark: str
    name: str
    station: str
    skill: str
    pieces: int
    minutes: float
    hold_to: str
    caution: str
    cure_min: float
    address: str = ""
    is_done: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class JobGlue:
    """What to glue with: a glue of the rack, or only its class; `open_min` is 0 if unknown."""

    durability_class: DurabilityClass
    name: str
    open_min: float
    clamp_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JobSheet:
    """An assembly as its job sheet tells it; no money."""

    shop: Shop
    commission: str
    title: str
    due_on: date | None
    on: date
    edition: int
    exposure: Exposure
    assembly: str
    place: str
    within: str
    total: int
    number: int
    of: int
    is_released: bool
    parts: tuple[PartLine, ...]
    joints: tuple[JointLine, ...]
    operations: tuple[JobOperation, ...]
    glue: JobGlue | None
    cautions: tuple[str, ...]

    @property
    def minutes(self) -> float:
        """Standard minutes of the whole sheet."""
        return sum(operation.minutes for operation in self.operations)


def job_sheets(
    commission: Commission,
    on: date,
    clock_address: ClockAddress,
    *,
    assembly: int | None = None,
) -> tuple[JobSheet, ...]:
    """The job sheets of a commission, or of one assembly; about eight queries however many.

    Raises NotReady when a part or a joint breaks its rules.
    """
    lines = breakdown(commission, current_times(commission.workshop))
    done = _released(commission, clock_address)
    work = done or _standard(lines)
    glue = _glue(commission, lines.glue_class)
    shop = shop_of(commission.workshop)
    names = {line.id: line.name for line in lines.assemblies}
    return tuple(
        JobSheet(
            shop=shop,
            commission=lines.mark,
            title=lines.title,
            due_on=commission.due_on,
            on=on,
            edition=lines.edition,
            exposure=lines.exposure,
            assembly=line.name,
            place=line.place,
            within=names.get(line.parent or 0, ""),
            total=line.total,
            number=number,
            of=len(lines.assemblies),
            is_released=bool(done),
            parts=line.parts,
            joints=line.joints,
            operations=tuple(work.get(line.id, ())),
            glue=glue if _is_glued(line) else None,
            cautions=tuple(_cautions(work.get(line.id, ()))),
        )
        for number, line in enumerate(lines.assemblies, start=1)
        if assembly in (None, line.id)
    )


def _released(commission: Commission, clock_address: ClockAddress) -> dict[int, list[JobOperation]]:
    """The operations that went to the bench, by assembly; none before the release."""
    rows = Operation.objects.filter(commission=commission).select_related("commission")
    found: dict[int, list[JobOperation]] = {}
    for row in rows.exclude(state=Operation.State.DROPPED).order_by("number"):
        found.setdefault(row.assembly_id, []).append(
            JobOperation(
                mark=row.mark,
                name=row.name,
                station=row.station_kind,
                skill=row.skill,
                pieces=row.pieces,
                minutes=row.minutes,
                hold_to=row.hold_to,
                caution=row.caution,
                cure_min=row.cure_min,
                address=clock_address(row.pk),
                is_done=row.state == Operation.State.DONE,
            )
        )
    return found


def _standard(lines: Breakdown) -> dict[int, list[JobOperation]]:
    """The operations that a release would write, by assembly."""
    steps = working_order(lines, cure_min=clamp_times_min()[lines.glue_class])
    found: dict[int, list[JobOperation]] = {}
    for number, step in enumerate(steps, start=1):
        found.setdefault(step.assembly, []).append(_planned(step, number))
    return found


def _planned(step: Step, number: int) -> JobOperation:
    return JobOperation(
        mark=f"{number:02d}",
        name=step.name,
        station=step.timed.station_kind,
        skill=step.timed.skill,
        pieces=step.pieces,
        minutes=step.minutes,
        hold_to=step.timed.hold_to,
        caution=step.timed.caution,
        cure_min=step.cure_min,
    )


def _glue(commission: Commission, wanted: DurabilityClass) -> JobGlue:
    """The lowest and cheapest glue of the rack that will do; without one, the class alone."""
    shelf = Glue.objects.of(commission.workshop).order_by("durability_class", "price_per_kg", "pk")
    for glue in shelf:
        if DurabilityClass(glue.durability_class).covers(wanted):
            return JobGlue(
                durability_class=DurabilityClass(glue.durability_class),
                name=glue.name,
                open_min=glue.open_min,
                clamp_min=glue.clamp_min,
            )
    return JobGlue(
        durability_class=wanted, name="", open_min=0.0, clamp_min=clamp_times_min()[wanted]
    )


def _is_glued(line: AssemblyLine) -> bool:
    return line.glue_area_mm2 > 0


def _cautions(operations: Iterable[JobOperation]) -> Iterable[str]:
    known: Mapping[str, str] = {code: caution.text for code, caution in cautions().items()}
    codes = dict.fromkeys(operation.caution for operation in operations)
    return (known[code] for code in codes if code in known)
