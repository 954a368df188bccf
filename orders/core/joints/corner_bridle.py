"""Corner bridle: an open mortise at the end of a stile takes a tongue as wide as the rail."""

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
class CornerBridle(Joint):
    """The tongue withdraws along the rail or along the stile."""

    code: ClassVar[str] = "corner-bridle"
    label: ClassVar[str] = "Corner bridle"
    summary: ClassVar[str] = "A tongue as wide as the rail in an open slot at the stile's end."
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
        """The slot is open at the stile's end and on both edges."""
        reach = visible_length(self)
        half, half_a, half_b = (
            self.tongue_thickness_mm / 2,
            self.a.thickness_mm / 2,
            self.b.thickness_mm / 2,
        )
        across, up = (-self.a.width_mm, 0.0), (0.0, self.b.width_mm)
        tongue = Solid.block(across, up, (-half, half))
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block(across, (-reach, self.b.width_mm), (-half_a, half_a)),
                    cuts=(tongue,),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((-self.a.width_mm, reach), up, (-half_b, half_b)),
                    keeps=(Solid.block((0, reach), up, (-half_b, half_b)), tongue),
                    leaves=X,
                ),
            ),
            dimensions=self._dimensions(reach),
        )

    def _dimensions(self, reach: float) -> tuple[Dimension, ...]:
        half, wide = self.tongue_thickness_mm / 2, self.b.width_mm
        back = self.a.thickness_mm / 2
        return (
            Dimension.between(
                "joint length", (-self.a.width_mm, wide, 0), (0, wide, 0), View.FRONT
            ),
            Dimension.between("rail width", (reach, 0, 0), (reach, wide, 0), View.FRONT),
            Dimension.between("tongue thickness", (0, wide, -half), (0, wide, half), View.TOP),
            Dimension.between(
                "stile thickness",
                (-self.a.width_mm, wide, -back),
                (-self.a.width_mm, wide, back),
                View.TOP,
            ),
        )


JOINT = CornerBridle
