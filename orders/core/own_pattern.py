"""A shop's own pattern: an assembly that was made once, with some sizes set free.

Every free size is a field; every size of a part, or of a joint's own dimensions, may follow one or
more fields by a factor. What follows nothing stays as it was.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite

from orders.core.book import joint_type, study
from orders.core.errors import RuleBroken, RulesBroken
from orders.core.joint import Section
from orders.core.orderfile import OrderAssembly, OrderJoint, OrderPart

PART_SIZES = ("length_mm", "width_mm", "thickness_mm")
LEAST_MM, GREATEST_MM = 0.5, 20_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeSize:
    """One size that is asked for, and what it was when the assembly was made."""

    name: str
    label: str
    value_mm: float
    least_mm: float = LEAST_MM
    most_mm: float = GREATEST_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Follows:
    """A size of a part or a joint that grows by `factor` for every mm of a free size.

    `mark` is that of the part or the joint; `size` one of a part's sizes or an own dimension.
    """

    mark: str
    size: str
    field: str
    factor: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnPattern:
    """An assembly without others within it, its free sizes, and what follows them.

    Raises RulesBroken on "free/<n>" or "follows/<n>" where a rule speaks of what is not there.
    """

    assembly: OrderAssembly
    free: tuple[FreeSize, ...]
    follows: tuple[Follows, ...]

    def __post_init__(self) -> None:
        """Refuse rules that speak of nothing."""
        faults = [*self._faults_of_free(), *self._faults_of_rules()]
        if faults:
            raise RulesBroken(faults)

    def made(self, values: Mapping[str, float]) -> OrderAssembly:
        """The assembly at other sizes; what is not given stays as it was.

        Raises RuleBroken on the free size that is out of range, or that makes a part vanish or a
        joint impossible.
        """
        grown = self._growth(values)
        blame = next(iter(values), self.free[0].name if self.free else "")
        parts = tuple(self._part(part, grown, blame) for part in self.assembly.parts)
        by_mark = {part.mark: part for part in parts}
        joints = tuple(self._joint(joint, by_mark, grown, blame) for joint in self.assembly.joints)
        return replace(self.assembly, parts=parts, joints=joints)

    def _faults_of_free(self) -> list[RuleBroken]:
        names = [each.name for each in self.free]
        return [
            RuleBroken(f"free/{number}", "Give every free size a name of its own.")
            for number, name in enumerate(names)
            if not name or name in names[:number]
        ]

    def _faults_of_rules(self) -> list[RuleBroken]:
        names = {each.name for each in self.free}
        parts = {part.mark for part in self.assembly.parts}
        joints = {joint.mark: joint for joint in self.assembly.joints}
        faults = []
        for number, rule in enumerate(self.follows):
            if rule.field not in names:
                said = f"There is no free size {rule.field!r} to follow."
            elif rule.mark in parts and rule.size not in PART_SIZES:
                said = f"A part has no {rule.size!r}; it has {', '.join(PART_SIZES)}."
            elif rule.mark in joints and rule.size not in _numbers_of(joints[rule.mark]):
                said = f"The joint {rule.mark} has no size {rule.size!r} of its own."
            elif rule.mark not in parts and rule.mark not in joints:
                said = f"There is no part or joint {rule.mark!r} in the assembly."
            else:
                continue
            faults.append(RuleBroken(f"follows/{number}", said))
        return faults

    def _growth(self, values: Mapping[str, float]) -> Mapping[str, float]:
        """By how much every free size is larger than it was."""
        known = {each.name: each for each in self.free}
        for name, value in values.items():
            if name not in known:
                raise RuleBroken(name, f"There is no size {name}; there are {', '.join(known)}.")
            one = known[name]
            if not isfinite(value) or not one.least_mm <= value <= one.most_mm:
                raise RuleBroken(
                    name,
                    f"The {one.label} must be between {one.least_mm:g} and {one.most_mm:g}.",
                    nearest=min(max(value, one.least_mm), one.most_mm)
                    if isfinite(value)
                    else one.value_mm,
                )
        return {name: values.get(name, one.value_mm) - one.value_mm for name, one in known.items()}

    def _grown(self, mark: str, size: str, value: float, grown: Mapping[str, float]) -> float:
        more = sum(
            rule.factor * grown[rule.field]
            for rule in self.follows
            if (rule.mark, rule.size) == (mark, size)
        )
        return round(value + more, 3)

    def _part(self, part: OrderPart, grown: Mapping[str, float], blame: str) -> OrderPart:
        sizes = {
            size: self._grown(part.mark, size, getattr(part, size), grown) for size in PART_SIZES
        }
        for size, value in sizes.items():
            if not LEAST_MM <= value <= GREATEST_MM:
                what = size.removesuffix("_mm")
                raise RuleBroken(blame, f"That makes the {what} of the {part.name} {value:g} mm.")
        return replace(
            part,
            length_mm=sizes["length_mm"],
            width_mm=sizes["width_mm"],
            thickness_mm=sizes["thickness_mm"],
        )

    def _joint(
        self,
        joint: OrderJoint,
        parts: Mapping[str, OrderPart],
        grown: Mapping[str, float],
        blame: str,
    ) -> OrderJoint:
        dimensions = {
            name: self._grown(joint.mark, name, value, grown) if isinstance(value, float) else value
            for name, value in joint.dimensions.items()
        }
        try:
            a, b = _section(parts[joint.part_a]), _section(parts[joint.part_b])
            study(joint_type(joint.type).fitted(a, b, **dimensions))
        except RuleBroken as fault:
            raise RuleBroken(
                blame, f"The joint {joint.mark} cannot be made then: {fault.message}"
            ) from fault
        return replace(joint, dimensions=dimensions)


def followers(assembly: OrderAssembly, free: Sequence[FreeSize]) -> tuple[Follows, ...]:
    """What most likely follows: every size of a part that is as large as a free size.

    A first guess for a person to correct; sizes that are as large as two free sizes follow the
    first.
    """
    found = []
    for part in assembly.parts:
        for size in PART_SIZES:
            like = next(
                (each for each in free if abs(each.value_mm - getattr(part, size)) < 1e-6), None
            )
            if like:
                found.append(Follows(mark=part.mark, size=size, field=like.name))
    return tuple(found)


def _numbers_of(joint: OrderJoint) -> set[str]:
    return {name for name, value in joint.dimensions.items() if isinstance(value, float)}


def _section(part: OrderPart) -> Section:
    across, along = part.width_mm, part.length_mm
    if part.grain == "width":
        across, along = along, across
    return Section(width_mm=across, thickness_mm=part.thickness_mm, length_mm=along)
