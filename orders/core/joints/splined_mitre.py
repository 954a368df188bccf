"""Splined mitre: a thin strip in a groove along the whole mitre, its grain across it."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.joint import (
    Advice,
    Arrangement,
    Given,
    Joint,
    Section,
    nearest_tool,
    own,
    require_at_most,
)
from orders.core.mitres import Corner, angle_field, corner_of, mitred, require_corner, slab
from orders.core.solids import Dimension, Geometry, Member, Plane, View
from orders.core.vectors import times


@dataclass(frozen=True, slots=True, kw_only=True)
class SplinedMitre(Joint):
    """The groove is sawn before gluing and shows at the inner and the outer corner."""

    code: ClassVar[str] = "splined-mitre"
    label: ClassVar[str] = "Splined mitre"
    summary: ClassVar[str] = "A mitre with a strip of wood in a groove along it."
    a_label: ClassVar[str] = "upright"
    b_label: ClassVar[str] = "cross piece"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=60, thickness_mm=22, length_mm=600),
        Section(width_mm=60, thickness_mm=22, length_mm=400),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.CORNER,)

    internal_angle_degree: float = angle_field()
    spline_thickness_mm: float = own(
        "spline thickness",
        "A quarter to a third of the thinner part, to the nearest cutter.",
        source="common practice, no source",
    )
    spline_depth_mm: float = own(
        "spline in each part",
        "Up to a quarter of the narrower part.",
        source="common practice, no source",
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """A good quarter thick, as deep in each part as a fifth of the narrower."""
        thin = min(a.thickness_mm, b.thickness_mm)
        tool = nearest_tool(thin * 0.28)
        return {
            "internal_angle_degree": 90.0,
            "spline_thickness_mm": tool if tool <= thin / 2 else thin / 4,
            "spline_depth_mm": min(a.width_mm, b.width_mm) / 5,
        }

    @property
    def corner(self) -> Corner:
        """The two parts at their corner."""
        return corner_of(self, self.internal_angle_degree)

    def check(self) -> None:
        """The mitre must be one that can be cut, and the groove must leave wood."""
        require_corner(self.corner)
        thin = min(self.a.thickness_mm, self.b.thickness_mm)
        if self.spline_thickness_mm >= thin - 1e-9:
            require_at_most(
                "spline_thickness_mm",
                self.spline_thickness_mm,
                thin / 3,
                "The spline leaves no cheeks on the thinner part; a third of it is usual.",
            )
        require_at_most(
            "spline_depth_mm",
            self.spline_depth_mm,
            min(self.a.width_mm, self.b.width_mm) / 2,
            "The spline is deeper than half of the narrower part; a quarter is usual.",
        )

    def geometry(self) -> Geometry:
        """The groove in each part, and the spline that fills both."""
        corner, depth = self.corner, self.spline_depth_mm
        strip_a, strip_b = slab(corner, self.spline_thickness_mm)
        into_a = strip_a.behind(Plane(normal=times(corner.across, -1.0), offset=depth))
        into_b = strip_b.behind(Plane(normal=corner.across, offset=depth))
        halves = tuple(half for half in (into_a, into_b) if half is not None)
        front, length = self.b.thickness_mm / 2, corner.length_mm
        low, high = -self.spline_thickness_mm / 2, self.spline_thickness_mm / 2
        outer = corner.outer
        return mitred(
            self,
            corner,
            tools=halves,
            key=Member(
                key="spline",
                label="spline",
                grain=corner.across,
                solids=halves,
                blank=halves,
                leaves=times(corner.across, 0.5),
            ),
            dimensions=(
                Dimension.between(
                    "spline in each part",
                    corner.spot(length / 2, 0, front),
                    corner.spot(length / 2, depth, front),
                    View.FRONT,
                ),
                Dimension.between(
                    "spline thickness",
                    (outer[0], outer[1], low),
                    (outer[0], outer[1], high),
                    View.SIDE,
                ),
            ),
        )

    def proportions(self) -> tuple[Advice, ...]:
        """Thickness and depth against the usual."""
        advice = []
        thin, narrow = (
            min(self.a.thickness_mm, self.b.thickness_mm),
            min(self.a.width_mm, self.b.width_mm),
        )
        if self.spline_thickness_mm > thin / 3 + 1e-9:
            advice.append(
                Advice(
                    text="The spline is thicker than a third of the thinner part.",
                    reason="A wide groove leaves weak cheeks beside it.",
                    source="common practice, no source",
                )
            )
        if self.spline_depth_mm > narrow / 4 + 1e-9:
            advice.append(
                Advice(
                    text="The spline reaches deeper than a quarter of the narrower part.",
                    reason="A deep groove cuts into the short grain at the outer corner.",
                    source="common practice, no source",
                )
            )
        return tuple(advice)


JOINT = SplinedMitre
