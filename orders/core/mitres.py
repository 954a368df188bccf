"""What the mitres have in common: two ends cut to share a corner's angle, at any angle and width.

The inner corner is the origin. Part b runs along +x below y = 0, part a along the internal angle
on its far side; the mitre runs from the inner corner to the outer one, both parts are centred on
z = 0.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import asin, cos, degrees, hypot, radians, sin
from typing import Any

from orders.core.errors import RuleBroken
from orders.core.joint import Joint, Section, Unit, own, visible_length
from orders.core.solids import Dimension, Geometry, Hole, Member, Solid, View, cut_away
from orders.core.vectors import Point, Vector, X, Z, cross, dot, plus, times, unit

LEAST_ANGLE, GREATEST_ANGLE = 10.0, 170.0


def angle_field() -> Any:
    """The field of a corner's internal angle."""
    return own(
        "internal angle",
        "90 degrees; an n-sided frame has 180 - 360/n.",
        source="geometry",
        unit=Unit.DEGREE,
        least=0.0,
    )


@dataclass(frozen=True, kw_only=True)
class Corner:
    """The two parts at their corner, before anything but the mitre is cut."""

    a: Section
    b: Section
    angle_degree: float

    @cached_property
    def along_a(self) -> Vector:
        """The way part a leads from the corner."""
        angle = radians(self.angle_degree)
        return (cos(angle), sin(angle), 0.0)

    @cached_property
    def outer(self) -> Point:
        """Where the outer edges meet."""
        angle = radians(self.angle_degree)
        x = -(self.a.width_mm + self.b.width_mm * cos(angle)) / sin(angle)
        return (x, -self.b.width_mm, 0.0)

    @property
    def length_mm(self) -> float:
        """Length of the mitre from inner to outer corner."""
        return hypot(*self.outer)

    @property
    def outward(self) -> Vector:
        """Along the mitre, from the inner corner to the outer one."""
        return unit(self.outer)

    @property
    def across(self) -> Vector:
        """Square to the mitre, into part b."""
        away = unit(cross(self.outer, Z))
        return away if dot(away, X) > 0 else times(away, -1.0)

    def cut_degree(self, key: str) -> float:
        """The angle between the mitre and the edge of one part; half the corner if widths agree."""
        part = self.a if key == "a" else self.b
        return degrees(asin(min(1.0, part.width_mm / self.length_mm)))

    def spot(self, along_mm: float, across_mm: float = 0.0, z: float = 0.0) -> Point:
        """A point by its distance from the inner corner along the mitre and square to it."""
        flat = plus(times(self.outward, along_mm), times(self.across, across_mm))
        return (flat[0], flat[1], z)

    def piece(self, key: str, reach: float) -> Solid:
        """One part, cut to the mitre."""
        return self._solid(key, reach, mitred=True)

    def blank(self, key: str, reach: float) -> Solid:
        """One part before the mitre is cut."""
        return self._solid(key, reach, mitred=False)

    def room_mm(self, key: str, along_mm: float) -> float:
        """How far a straight bore square to the mitre can go into one part."""
        way = self.across if key == "b" else times(self.across, -1.0)
        reach = 4 * max(self.a.width_mm, self.b.width_mm, self.length_mm)
        return self.piece(key, reach).run_mm(self.spot(along_mm), way)

    def _solid(self, key: str, reach: float, *, mitred: bool) -> Solid:
        part = self.a if key == "a" else self.b
        along = self.along_a if key == "a" else X
        aside = (-along[1], along[0], 0.0) if key == "a" else (0.0, -1.0, 0.0)
        outer = dot(self.outer, along)
        start, far = min(0.0, outer), max(0.0, outer) + reach

        def corner(length: float, width: float) -> Point:
            flat = plus(times(along, length), times(aside, width))
            return (flat[0], flat[1], -part.thickness_mm / 2)

        outline = (
            corner(0 if mitred else start, 0),
            corner(far, 0),
            corner(far, part.width_mm),
            corner(outer if mitred else start, part.width_mm),
        )
        return Solid.prism(outline, (0.0, 0.0, part.thickness_mm))


def corner_of(joint: Joint, angle_degree: float) -> Corner:
    """The corner that a joint's parts make."""
    return Corner(a=joint.a, b=joint.b, angle_degree=angle_degree)


def require_corner(corner: Corner) -> None:
    """Raise RuleBroken where the angle cannot be cut, or a cut would lean more than square."""
    angle = corner.angle_degree
    if not LEAST_ANGLE <= angle <= GREATEST_ANGLE:
        raise RuleBroken(
            "internal_angle_degree",
            f"The internal angle must be between {LEAST_ANGLE:g} and {GREATEST_ANGLE:g} "
            "degrees; at 0 or 180 there is no corner to cut.",
            nearest=min(max(angle, LEAST_ANGLE), GREATEST_ANGLE),
        )
    a, b = corner.a.width_mm, corner.b.width_mm
    least = -max(a, b) * cos(radians(angle))
    if min(a, b) <= least + 1e-9:
        raise RuleBroken(
            "b/width_mm" if a > b else "a/width_mm",
            "The widths differ too much for a mitre at this angle; widen the narrower part.",
            nearest=least * 1.01,
        )


def mitred(
    joint: Joint,
    corner: Corner,
    *,
    tools: Sequence[Solid] = (),
    holes_a: Sequence[Hole] = (),
    holes_b: Sequence[Hole] = (),
    key: Member | None = None,
    dimensions: Sequence[Dimension] = (),
) -> Geometry:
    """The two parts of a mitre, with what is cut out of both for a key, and the key."""
    reach = visible_length(joint)
    members = [
        Member.of(
            name,
            label,
            grain=along,
            blank=corner.blank(name, reach),
            keeps=cut_away((corner.piece(name, reach),), *tools),
            holes=holes,
            leaves=corner.across if name == "b" else (0.0, 0.0, 0.0),
            notes=(f"cut at {corner.cut_degree(name):.4g}°",),
        )
        for name, label, along, holes in (
            ("a", joint.a_label, corner.along_a, holes_a),
            ("b", joint.b_label, X, holes_b),
        )
    ]
    if key:
        members.append(key)
    return Geometry(
        members=tuple(members), dimensions=(*_dimensions(joint, corner, reach), *dimensions)
    )


def slab(corner: Corner, thickness_mm: float, *, middle_mm: float = 0.0) -> tuple[Solid, Solid]:
    """Both parts of a corner between two planes square to z."""
    low = middle_mm - thickness_mm / 2
    pieces = []
    for key in ("a", "b"):
        part = corner.a if key == "a" else corner.b
        flat = Corner(
            a=_as_thick(corner.a, thickness_mm),
            b=_as_thick(corner.b, thickness_mm),
            angle_degree=corner.angle_degree,
        )
        far = 4 * max(part.width_mm, corner.length_mm)
        pieces.append(flat.piece(key, far).moved((0.0, 0.0, low + thickness_mm / 2)))
    return pieces[0], pieces[1]


def _as_thick(section: Section, thickness_mm: float) -> Section:
    return Section(
        width_mm=section.width_mm, thickness_mm=thickness_mm, length_mm=section.length_mm
    )


def _dimensions(joint: Joint, corner: Corner, reach: float) -> tuple[Dimension, ...]:
    a, b = corner.a, corner.b
    front = max(a.thickness_mm, b.thickness_mm) / 2
    aside = (-corner.along_a[1], corner.along_a[0], 0.0)
    inner = plus(times(corner.along_a, reach), (0, 0, front))
    return (
        Dimension.between(
            "mitre length", (0, 0, front), corner.spot(corner.length_mm, z=front), View.FRONT
        ),
        Dimension.between(
            f"{joint.b_label} width", (reach, -b.width_mm, front), (reach, 0, front), View.FRONT
        ),
        Dimension.between(
            f"{joint.a_label} width", inner, plus(inner, times(aside, a.width_mm)), View.FRONT
        ),
        Dimension.between(
            f"{joint.b_label} thickness",
            (reach, 0, -b.thickness_mm / 2),
            (reach, 0, b.thickness_mm / 2),
            View.TOP,
        ),
    )
