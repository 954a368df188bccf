"""The breakdown of a commission as values: what estimates, papers and the release start from."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from orders.core.book import JointStudy, study
from orders.core.errors import NotReady, RuleBroken
from orders.core.exposure import DurabilityClass, Exposure, taken_class
from orders.core.fixings import Carried, Jig, advice_with
from orders.core.joint import Advice
from orders.core.species import Species, species
from orders.core.times import (
    Method,
    StandardTimes,
    TimedOperation,
    minutes_for,
    minutes_for_extra,
)
from orders.models import Assembly, Commission, ExtraWork, Joint, Part

from .fitting import carries, fit, jig_of
from .rows import Rows
from .tree import by_assembly, by_parent

MM2_PER_M2 = 1e6

Row = TypeVar("Row")
Line = TypeVar("Line")


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLine:
    """A part by its finished size; `quantity` for one assembly, `total` for the commission."""

    id: int
    mark: str
    name: str
    species: str
    species_label: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    quantity: int
    total: int
    grain: str
    note: str = ""

    @property
    def surface_mm2(self) -> float:
        """All six faces of one piece."""
        sides = self.length_mm * self.width_mm
        edges = (self.length_mm + self.width_mm) * self.thickness_mm
        return 2 * (sides + edges)


@dataclass(frozen=True, slots=True, kw_only=True)
class JointLine:
    """Like joints of an assembly, their study and their operations, timed for all of them.

    `species` is that of the harder part, `glue_area_mm2` that of one joint.
    """

    id: int
    mark: str
    name: str
    type: str
    label: str
    part_a: int
    part_b: int
    mark_a: str
    mark_b: str
    count: int
    total: int
    method: Method
    species: str
    study: JointStudy
    glue_area_mm2: float
    fixings: tuple[Carried, ...]
    jig: Jig | None
    advice: tuple[Advice, ...]
    operations: tuple[TimedOperation, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtraLine:
    """Work that belongs to no joint, timed for the whole commission."""

    id: int
    operation: str
    name: str
    count: int
    total: int
    has_own_minutes: bool
    timed: TimedOperation


@dataclass(frozen=True, slots=True, kw_only=True)
class AssemblyLine:
    """An assembly: `quantity` in one parent, `total` in the commission, `place` such as "1.2"."""

    id: int
    parent: int | None
    depth: int
    place: str
    name: str
    quantity: int
    total: int
    parts: tuple[PartLine, ...]
    joints: tuple[JointLine, ...]
    extras: tuple[ExtraLine, ...]

    @property
    def glue_area_mm2(self) -> float:
        """The glued area of one assembly, without those within it."""
        return sum(joint.count * joint.glue_area_mm2 for joint in self.joints)

    @property
    def operations(self) -> tuple[TimedOperation, ...]:
        """Every timed operation: of the joints, then of the extras."""
        of_joints = [operation for joint in self.joints for operation in joint.operations]
        return (*of_joints, *(extra.timed for extra in self.extras))

    @property
    def minutes(self) -> float:
        """Standard minutes for all of them."""
        return sum(operation.total_min for operation in self.operations)


@dataclass(frozen=True, slots=True, kw_only=True)
class Breakdown:
    """A commission broken down: its assemblies in the order of their tree."""

    commission: int
    mark: str
    title: str
    exposure: Exposure
    glue_class: DurabilityClass
    edition: int
    assemblies: tuple[AssemblyLine, ...]

    @property
    def minutes(self) -> float:
        """Standard minutes of the whole commission."""
        return sum(assembly.minutes for assembly in self.assemblies)

    @property
    def piece_count(self) -> int:
        """Pieces of wood in the whole commission."""
        return sum(part.total for assembly in self.assemblies for part in assembly.parts)

    @property
    def joint_count(self) -> int:
        """Joints in the whole commission."""
        return sum(joint.total for assembly in self.assemblies for joint in assembly.joints)


def breakdown(commission: Commission, times: StandardTimes, rows: Rows | None = None) -> Breakdown:
    """Break a commission down into values, timed by `times`; four queries however large.

    `rows` may be what is supposed in the place of what is stored.

    Raises NotReady, with a sentence for each, when a part's species is not in the table, a joint
    breaks its rules or an operation has no standard time.
    """
    lines = _Lines(rows or Rows.of(commission), times)
    assemblies = tuple(lines.under())
    if lines.faults:
        raise NotReady(" ".join(lines.faults))
    return Breakdown(
        commission=commission.pk,
        mark=commission.mark,
        title=commission.title,
        exposure=Exposure(commission.exposure),
        glue_class=taken_class(commission.exposure, commission.glue_class, commission.glue_reason),
        edition=times.edition,
        assemblies=assemblies,
    )


class _Lines:
    """The rows of one commission turned into lines; it collects their faults."""

    def __init__(self, rows: Rows, times: StandardTimes) -> None:
        self.times = times
        self.faults: list[str] = []
        self.children = by_parent(rows.assemblies)
        self.parts = by_assembly(rows.parts)
        self.joints = by_assembly(rows.joints)
        self.extras = by_assembly(rows.extras)

    def under(
        self, parent: int | None = None, total: int = 1, depth: int = 0, place: str = ""
    ) -> Iterator[AssemblyLine]:
        """The assemblies below `parent`, each before what is within it."""
        for number, assembly in enumerate(self.children.get(parent, []), start=1):
            times_made = total * assembly.quantity
            at = f"{place}.{number}" if place else str(number)
            yield self._assembly(assembly, times_made, depth, at)
            yield from self.under(assembly.pk, times_made, depth + 1, at)

    def _assembly(self, assembly: Assembly, total: int, depth: int, place: str) -> AssemblyLine:
        parts = self._kept(
            assembly, self.parts.get(assembly.pk, []), lambda part: _part_line(part, total)
        )
        return AssemblyLine(
            id=assembly.pk,
            parent=assembly.parent_id,
            depth=depth,
            place=place,
            name=assembly.name,
            quantity=assembly.quantity,
            total=total,
            parts=parts,
            joints=self._kept(
                assembly,
                self.joints.get(assembly.pk, []),
                lambda joint: self._joint_line(joint, total),
            ),
            extras=self._kept(
                assembly,
                self.extras.get(assembly.pk, []),
                lambda extra: _extra_line(extra, total, parts, self.times),
            ),
        )

    def _kept(
        self, assembly: Assembly, rows: Sequence[Row], line_of: Callable[[Row], Line]
    ) -> tuple[Line, ...]:
        """The lines of the rows that keep their rules; what is wrong with others is kept."""
        lines = []
        for row in rows:
            try:
                lines.append(line_of(row))
            except RuleBroken as fault:
                self.faults.append(f"{assembly.name}, {row}: {fault.message}")
        return tuple(lines)

    def _joint_line(self, joint: Joint, total: int) -> JointLine:
        a, b = joint.part_a, joint.part_b
        known = study(fit(joint.type, a, b, joint.dimensions))
        wood = harder(a.species, b.species)
        method = Method(joint.method)
        number = joint.count * total
        fixings, jig = carries(known, joint.fixings), jig_of(joint.jig)
        return JointLine(
            id=joint.pk,
            mark=joint.mark,
            name=joint.name,
            type=joint.type,
            label=known.joint.label,
            part_a=a.pk,
            part_b=b.pk,
            mark_a=a.mark,
            mark_b=b.mark,
            count=joint.count,
            total=number,
            method=method,
            species=wood.code,
            study=known,
            glue_area_mm2=known.drivers.glue_mm2,
            fixings=fixings,
            jig=jig,
            advice=advice_with(known, fixings),
            operations=minutes_for(known, number, method, wood, self.times, fixings, jig),
        )


def harder(*codes: str) -> Species:
    """The hardest of some species, which sets the pace of the cutting."""
    return max((species(code) for code in codes), key=lambda wood: wood.hardness_n)


def measures_of(parts: Sequence[PartLine]) -> Mapping[str, float]:
    """What drives work on one assembly: its pieces, their surface, and the assembly itself."""
    return {
        "parts": float(sum(part.quantity for part in parts)),
        "area_m2": sum(part.quantity * part.surface_mm2 for part in parts) / MM2_PER_M2,
        "assemblies": 1.0,
    }


def _part_line(part: Part, total: int) -> PartLine:
    return PartLine(
        id=part.pk,
        mark=part.mark,
        name=part.name,
        species=part.species,
        species_label=species(part.species).label,
        length_mm=float(part.length_mm),
        width_mm=float(part.width_mm),
        thickness_mm=float(part.thickness_mm),
        quantity=part.quantity,
        total=part.quantity * total,
        grain=part.grain,
        note=part.note,
    )


def _extra_line(
    extra: ExtraWork, total: int, parts: Sequence[PartLine], times: StandardTimes
) -> ExtraLine:
    number = extra.count * total
    timed = _standard(extra.operation, number, parts, times)
    if extra.minutes is not None:
        timed = replace(timed, count=number, setup_min=0.0, each_min=float(extra.minutes))
    return ExtraLine(
        id=extra.pk,
        operation=extra.operation,
        name=extra.name or timed.label,
        count=extra.count,
        total=number,
        has_own_minutes=extra.minutes is not None,
        timed=timed,
    )


def _standard(
    code: str, count: int, parts: Sequence[PartLine], times: StandardTimes
) -> TimedOperation:
    """The standard time of an operation of no joint, by machine where that can be done."""
    by_machine = {row.operation for row in times.of("", Method.MACHINE)}
    return minutes_for_extra(
        code,
        measures_of(parts),
        Method.MACHINE if code in by_machine else Method.HAND,
        harder(*(part.species for part in parts)) if parts else None,
        times,
        count,
    )
