"""Corner halving: each part is cut to half its thickness, and one laps the other at a corner."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.joint import Given, Joint, Section, own, require_at_most, visible_length
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import X, Y


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerHalving(Joint):
    """A lap at a corner, flush on the face side of both parts."""

    code: ClassVar[str] = "corner-halving"
    label: ClassVar[str] = "Corner halving"
    summary: ClassVar[str] = "Each part is cut to half its thickness and laps the other."
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=48, thickness_mm=24, length_mm=600),
        Section(width_mm=48, thickness_mm=24, length_mm=600),
    )

    lap_thickness_mm: float = own(
        "thickness of the rail's lap",
        "Half the thickness of the thinner part, gauged from the face side.",
        source="common practice, no source",
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """Half of the thinner part."""
        return {"lap_thickness_mm": min(a.thickness_mm, b.thickness_mm) / 2}

    def check(self) -> None:
        """Something must be left of both parts, and each must be long enough to lap the other."""
        thin = min(self.a.thickness_mm, self.b.thickness_mm)
        if self.lap_thickness_mm >= thin - 1e-9:
            require_at_most(
                "lap_thickness_mm",
                self.lap_thickness_mm,
                thin / 2,
                "The lap leaves nothing of the thinner part; half its thickness is usual.",
            )
        require_at_most(
            "b/width_mm",
            self.b.width_mm,
            self.a.length_mm,
            f"The {self.a_label} is shorter than the lap, which is as long as the other is wide.",
        )
        require_at_most(
            "a/width_mm",
            self.a.width_mm,
            self.b.length_mm,
            f"The {self.b_label} is shorter than the lap, which is as long as the other is wide.",
        )

    def geometry(self) -> Geometry:
        """The face side is z = 0; the rail keeps its face, the stile its back."""
        reach = visible_length(self)
        stile, rail, lap = self.a, self.b, self.lap_thickness_mm
        across, up = (-stile.width_mm, 0.0), (0.0, rail.width_mm)
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block(across, (-reach, rail.width_mm), (-stile.thickness_mm, 0)),
                    cuts=(Solid.block(across, up, (-lap, 0)),),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((-stile.width_mm, reach), up, (-rail.thickness_mm, 0)),
                    cuts=(Solid.block(across, up, (-rail.thickness_mm, -lap)),),
                    leaves=(0.0, 0.0, 1.0),
                ),
            ),
            dimensions=(
                Dimension.between(
                    "lap length",
                    (-stile.width_mm, rail.width_mm, 0),
                    (0, rail.width_mm, 0),
                    View.FRONT,
                ),
                Dimension.between("lap width", (0, 0, 0), (0, rail.width_mm, 0), View.FRONT),
                Dimension.between(
                    "lap thickness",
                    (-stile.width_mm, rail.width_mm, -lap),
                    (-stile.width_mm, rail.width_mm, 0),
                    View.TOP,
                ),
                Dimension.between(
                    "stile thickness",
                    (0, -reach, -stile.thickness_mm),
                    (0, -reach, 0),
                    View.SIDE,
                ),
                Dimension.between(
                    "rail thickness",
                    (reach, rail.width_mm, -rail.thickness_mm),
                    (reach, rail.width_mm, 0),
                    View.TOP,
                ),
            ),
        )


JOINT = CornerHalving
