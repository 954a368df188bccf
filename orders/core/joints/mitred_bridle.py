"""Mitred corner bridle: a bridle whose outer cheeks meet in a mitre on both faces."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.joint import (
    Arrangement,
    Given,
    Joint,
    Section,
    nearest_tool,
    own,
    require_at_most,
    visible_length,
)
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import X, Y


@dataclass(frozen=True, slots=True, kw_only=True)
class MitredBridle(Joint):
    """The tongue keeps its full square between two mitred cheeks; both faces show a mitre."""

    code: ClassVar[str] = "mitred-bridle"
    label: ClassVar[str] = "Mitred corner bridle"
    summary: ClassVar[str] = "A bridle that shows a mitre on both faces of the frame."
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=48, thickness_mm=24, length_mm=600),
        Section(width_mm=48, thickness_mm=24, length_mm=600),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.CORNER,)

    tongue_thickness_mm: float = own(
        "tongue thickness",
        "A third of the thinner part, to the nearest chisel or cutter.",
        source="common practice, no source",
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """Thirds."""
        thin = min(a.thickness_mm, b.thickness_mm)
        tool = nearest_tool(thin / 3)
        return {"tongue_thickness_mm": tool if tool < thin / 2 else thin / 3}

    def check(self) -> None:
        """Both parts must keep wood beside the tongue and be longer than the joint."""
        thin = min(self.a.thickness_mm, self.b.thickness_mm)
        if self.tongue_thickness_mm >= thin - 1e-9:
            require_at_most(
                "tongue_thickness_mm",
                self.tongue_thickness_mm,
                thin / 3,
                "The tongue leaves no cheeks on the thinner part; a third of it is usual.",
            )
        require_at_most(
            "a/width_mm",
            self.a.width_mm,
            self.b.length_mm,
            "The rail is shorter than the stile is wide.",
        )
        require_at_most(
            "b/width_mm",
            self.b.width_mm,
            self.a.length_mm,
            "The stile is shorter than the rail is wide.",
        )

    def geometry(self) -> Geometry:
        """The inner corner is the origin; the mitre runs from it to the upper left."""
        reach = visible_length(self)
        left, top = -self.a.width_mm, self.b.width_mm
        half, half_a, half_b = (
            self.tongue_thickness_mm / 2,
            self.a.thickness_mm / 2,
            self.b.thickness_mm / 2,
        )
        below = ((0.0, 0.0), (left, 0.0), (left, top))
        above = ((0.0, 0.0), (left, top), (0.0, top))
        tongue = Solid.block((left, 0), (0, top), (-half, half))
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block((left, 0), (-reach, top), (-half_a, half_a)),
                    keeps=(
                        Solid.block((left, 0), (-reach, 0), (-half_a, half_a)),
                        *_cheeks(below, half, half_a),
                    ),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((left, reach), (0, top), (-half_b, half_b)),
                    keeps=(
                        Solid.block((0, reach), (0, top), (-half_b, half_b)),
                        tongue,
                        *_cheeks(above, half, half_b),
                    ),
                    leaves=X,
                ),
            ),
            dimensions=(
                Dimension.between("joint length", (left, top, 0), (0, top, 0), View.FRONT),
                Dimension.between("rail width", (reach, 0, 0), (reach, top, 0), View.FRONT),
                Dimension.between("mitre length", (0, 0, half_a), (left, top, half_a), View.FRONT),
                Dimension.between("tongue thickness", (0, top, -half), (0, top, half), View.TOP),
                Dimension.between(
                    "stile thickness", (left, 0, -half_a), (left, 0, half_a), View.TOP
                ),
            ),
        )


def _cheeks(outline: tuple[tuple[float, float], ...], low: float, high: float) -> list[Solid]:
    """Two prisms of one outline in the front view, before and behind the tongue."""
    return [
        Solid.prism(tuple((x, y, start) for x, y in outline), (0.0, 0.0, high - low))
        for start in (low, -high)
    ]


JOINT = MitredBridle
