"""Mitre: two ends cut to share the corner's angle, at any internal angle and width."""

from dataclasses import dataclass
from math import asin, cos, degrees, hypot, radians, sin
from typing import Any, ClassVar

from orders.core.errors import RuleBroken
from orders.core.joint import Given, Joint, Section, Unit, own, visible_length
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import Point, Vector, X, cross, dot, plus, times, unit

LEAST_ANGLE, GREATEST_ANGLE = 10.0, 170.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Mitre(Joint):
    """The face runs from the inner corner to the outer one; nothing but glue keeps it."""

    code: ClassVar[str] = "mitre"
    label: ClassVar[str] = "Mitre"
    summary: ClassVar[str] = "Two ends cut to share the angle of the corner."
    a_label: ClassVar[str] = "upright"
    b_label: ClassVar[str] = "cross piece"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=50, thickness_mm=20, length_mm=600),
        Section(width_mm=50, thickness_mm=20, length_mm=400),
    )

    internal_angle_degree: float = own(
        "internal angle",
        "90 degrees; an n-sided frame has 180 - 360/n.",
        source="geometry",
        unit=Unit.DEGREE,
        least=0.0,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """A square corner."""
        return {"internal_angle_degree": 90.0}

    def check(self) -> None:
        """The angle must be one that can be cut, and both cuts must lean less than square."""
        angle = self.internal_angle_degree
        if not LEAST_ANGLE <= angle <= GREATEST_ANGLE:
            raise RuleBroken(
                "internal_angle_degree",
                f"The internal angle must be between {LEAST_ANGLE:g} and {GREATEST_ANGLE:g} "
                "degrees; at 0 or 180 there is no corner to cut.",
                nearest=min(max(angle, LEAST_ANGLE), GREATEST_ANGLE),
            )
        wide, narrow = ("a", "b") if self.a.width_mm > self.b.width_mm else ("b", "a")
        least = -getattr(self, wide).width_mm * cos(radians(angle))
        if getattr(self, narrow).width_mm <= least + 1e-9:
            raise RuleBroken(
                f"{narrow}/width_mm",
                "The widths differ too much for a mitre at this angle; widen the narrower part.",
                nearest=least * 1.01,
            )

    @property
    def outer_corner(self) -> Point:
        """Where the outer edges meet, seen from the inner corner at the origin."""
        angle = radians(self.internal_angle_degree)
        x = -(self.a.width_mm + self.b.width_mm * cos(angle)) / sin(angle)
        return (x, -self.b.width_mm, 0.0)

    @property
    def mitre_length_mm(self) -> float:
        """Length of the mitre from inner to outer corner."""
        return hypot(*self.outer_corner)

    def cut_degree(self, key: str) -> float:
        """The angle between the mitre and the edge of one part; half the corner if widths agree."""
        part = self.a if key == "a" else self.b
        return degrees(asin(min(1.0, part.width_mm / self.mitre_length_mm)))

    def geometry(self) -> Geometry:
        """Part b runs along +x below y = 0, part a along the internal angle on its far side."""
        angle = radians(self.internal_angle_degree)
        along: Vector = (cos(angle), sin(angle), 0.0)
        aside: Vector = (-sin(angle), cos(angle), 0.0)
        outer = self.outer_corner
        reach = visible_length(self)
        first = _piece(along, aside, self.a, outer, reach)
        second = _piece(X, (0.0, -1.0, 0.0), self.b, outer, reach)
        away = unit(cross(outer, (0.0, 0.0, 1.0)))
        if dot(away, X) < 0:
            away = times(away, -1.0)
        front = max(self.a.thickness_mm, self.b.thickness_mm) / 2
        face = (outer[0], outer[1], front)
        return Geometry(
            members=(
                Member.of("a", self.a_label, grain=along, blank=first[0], keeps=(first[1],)),
                Member.of(
                    "b", self.b_label, grain=X, blank=second[0], keeps=(second[1],), leaves=away
                ),
            ),
            dimensions=(
                Dimension.between("mitre length", (0, 0, front), face, View.FRONT),
                Dimension.between(
                    "width of the cross piece",
                    (reach, -self.b.width_mm, front),
                    (reach, 0, front),
                    View.FRONT,
                ),
                Dimension.between(
                    "width of the upright",
                    plus(times(along, reach), (0, 0, front)),
                    plus(plus(times(along, reach), times(aside, self.a.width_mm)), (0, 0, front)),
                    View.FRONT,
                ),
                Dimension.between(
                    "thickness",
                    (reach, 0, -self.b.thickness_mm / 2),
                    (reach, 0, self.b.thickness_mm / 2),
                    View.TOP,
                ),
            ),
        )


def _piece(
    along: Vector, aside: Vector, section: Section, outer: Point, reach: float
) -> tuple[Solid, Solid]:
    """The blank and the cut piece of a part whose inner edge starts at the origin."""
    half = section.thickness_mm / 2
    start = min(0.0, dot(outer, along))
    far = max(0.0, dot(outer, along)) + reach
    down = (0.0, 0.0, -half)

    def corner(length: float, width: float) -> Point:
        return plus(down, plus(times(along, length), times(aside, width)))

    thick = (0.0, 0.0, section.thickness_mm)
    blank = (
        corner(start, 0),
        corner(far, 0),
        corner(far, section.width_mm),
        corner(start, section.width_mm),
    )
    kept = (corner(0, 0), corner(far, 0), corner(far, section.width_mm), plus(down, outer))
    return Solid.prism(blank, thick), Solid.prism(kept, thick)


JOINT = Mitre
