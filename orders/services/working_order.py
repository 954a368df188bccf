"""The working order of a commission: which operation comes after which.

Within an assembly: parts are prepared, every joint is marked out and cut in its own order, the
whole is put together dry, glued up, cleaned up, finished and fitted. What stands within an assembly
is complete before that is glued up. Delivery and work on site come last, for the whole commission.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import IntEnum
from types import MappingProxyType

from orders.core.times import TimedOperation

from .breakdown import AssemblyLine, Breakdown, JointLine


class Phase(IntEnum):
    """The phases of an assembly's work, in their order; common practice, no source."""

    PREPARING = 1
    CUTTING = 2
    DRY_FITTING = 3
    GLUING = 4
    CLEANING = 5
    FINISHING = 6
    FITTING = 7
    LEAVING = 8


PHASES: Mapping[str, Phase] = MappingProxyType(
    {
        "cut-to-size": Phase.PREPARING,
        "plane-up": Phase.PREPARING,
        "mark-parts": Phase.PREPARING,
        "dry-fit": Phase.DRY_FITTING,
        "glue": Phase.GLUING,
        "assemble": Phase.GLUING,
        "clean-up": Phase.CLEANING,
        "sand": Phase.CLEANING,
        "finish": Phase.FINISHING,
        "outwork": Phase.FINISHING,
        "fit-hardware": Phase.FITTING,
        "deliver": Phase.LEAVING,
        "install": Phase.LEAVING,
    }
)

DRIVING = "drive-"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One operation in its place; `after` are the places of what must be done before it."""

    assembly: int
    name: str
    timed: TimedOperation
    joint: int | None = None
    extra: int | None = None
    cure_min: float = 0.0
    after: frozenset[int] = frozenset()

    @property
    def pieces(self) -> int:
        """How many times it is done."""
        return round(self.timed.count)

    @property
    def minutes(self) -> float:
        """Standard minutes for all pieces."""
        return self.timed.total_min


def working_order(lines: Breakdown, *, cure_min: float) -> list[Step]:
    """Every operation of a commission, each after all that must come before it.

    `cure_min` are the minutes in clamps after an assembly's glue-up.
    """
    order = _Order(lines, cure_min)
    ends = frozenset[int]().union(*(order.make(line) for line in order.within(None)))
    order.chain([step for line in lines.assemblies for step in order.leaving(line)], ends)
    return order.steps


@dataclass(slots=True)
class _Order:
    """The steps placed so far. A run of steps is answered by its ends: what the next waits for."""

    lines: Breakdown
    cure_min: float
    steps: list[Step] = field(default_factory=list)

    def within(self, parent: int | None) -> list[AssemblyLine]:
        """The assemblies directly below one, or below none."""
        return [line for line in self.lines.assemblies if line.parent == parent]

    def make(self, line: AssemblyLine) -> frozenset[int]:
        """Place the work of an assembly up to its fitting, after that of what is within it."""
        inner = frozenset[int]().union(*(self.make(child) for child in self.within(line.id)))
        ends = self.chain(self._extras(line, Phase.PREPARING), frozenset())
        ends = self._cut(line.joints, line.id, ends)
        ends = self.chain(self._of_joints(line, Phase.DRY_FITTING), ends)
        ends |= inner
        gluing = [*self._of_joints(line, Phase.GLUING), *self._extras(line, Phase.GLUING)]
        if gluing:
            gluing[-1] = replace(gluing[-1], cure_min=self.cure_min)
        ends = self.chain(gluing, ends)
        for phase in (Phase.CLEANING, Phase.FINISHING, Phase.FITTING):
            ends = self.chain(self._extras(line, phase), ends)
        return ends

    def leaving(self, line: AssemblyLine) -> list[Step]:
        """Delivery and work on site."""
        return self._extras(line, Phase.LEAVING)

    def chain(self, steps: Iterable[Step], after: frozenset[int]) -> frozenset[int]:
        """Place steps one after another."""
        for step in steps:
            self.steps.append(replace(step, after=after))
            after = frozenset({len(self.steps) - 1})
        return after

    def _cut(
        self, joints: Iterable[JointLine], assembly: int, after: frozenset[int]
    ) -> frozenset[int]:
        """Place the marking out and cutting of joints, side by side."""
        ends = [
            self.chain(steps, after)
            for joint in joints
            if (steps := _joint_steps(joint, assembly, Phase.CUTTING))
        ]
        return frozenset[int]().union(*ends) if ends else after

    def _of_joints(self, line: AssemblyLine, phase: Phase) -> list[Step]:
        return [step for joint in line.joints for step in _joint_steps(joint, line.id, phase)]

    def _extras(self, line: AssemblyLine, phase: Phase) -> list[Step]:
        """The work of a phase that belongs to no joint, in the order of the standard times."""
        chosen = [
            extra
            for extra in line.extras
            if extra.timed.count and PHASES.get(extra.operation, Phase.FINISHING) is phase
        ]
        places = {code: place for place, code in enumerate(PHASES)}
        chosen.sort(key=lambda extra: places.get(extra.operation, len(places)))
        return [
            Step(assembly=line.id, name=extra.name, timed=extra.timed, extra=extra.id)
            for extra in chosen
        ]


def _phase_of(code: str) -> Phase:
    """Joints are cut before they are put together; fixings are driven while the glue is wet."""
    usual = Phase.GLUING if code.startswith(DRIVING) else Phase.CUTTING
    return PHASES.get(code, usual)


def _joint_steps(joint: JointLine, assembly: int, phase: Phase) -> list[Step]:
    return [
        Step(
            assembly=assembly,
            name=f"{timed.label}, {joint.mark}",
            timed=timed,
            joint=joint.id,
        )
        for timed in joint.operations
        if _phase_of(timed.code) is phase
    ]
