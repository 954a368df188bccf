"""Rebate: the end of one board in a step cut along the end of another, a lapped corner."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.joint import (
    Arrangement,
    Given,
    Joint,
    Section,
    own,
    require_at_most,
    visible_length,
)
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import X, Y


@dataclass(frozen=True, slots=True, kw_only=True)
class Rebate(Joint):
    """The step is as wide as the second board is thick; a lap of the first covers its end."""

    code: ClassVar[str] = "rebate"
    label: ClassVar[str] = "Rebate"
    summary: ClassVar[str] = "The end of one board in a step at the end of another."
    a_label: ClassVar[str] = "side"
    b_label: ClassVar[str] = "second board"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=150, thickness_mm=18, length_mm=600),
        Section(width_mm=150, thickness_mm=18, length_mm=400),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.BOX_CORNER,)

    depth_mm: float = own(
        "depth of the rebate",
        "Two thirds of the side's thickness.",
        source="common practice, no source",
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """Two thirds deep."""
        return {"depth_mm": min(a.thickness_mm * 2 / 3, b.length_mm)}

    def check(self) -> None:
        """A lap must stay, and the step must lie on the side."""
        if self.depth_mm >= self.a.thickness_mm - 1e-9:
            require_at_most(
                "depth_mm",
                self.depth_mm,
                self.a.thickness_mm * 2 / 3,
                "The rebate cuts right through the side; two thirds of its thickness is usual.",
            )
        require_at_most(
            "depth_mm",
            self.depth_mm,
            self.b.length_mm,
            "The rebate is deeper than the board is long.",
        )
        require_at_most(
            "b/thickness_mm",
            self.b.thickness_mm,
            self.a.length_mm,
            "The second board is thicker than the side is long.",
        )

    def geometry(self) -> Geometry:
        """The side ends with the second board's outer face; both front edges are z = 0."""
        reach = visible_length(self)
        a, b = self.a, self.b
        thick = (0.0, b.thickness_mm)
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block(
                        (-a.thickness_mm, 0), (-reach, b.thickness_mm), (-a.width_mm, 0)
                    ),
                    cuts=(Solid.block((-self.depth_mm, 0), thick, (-a.width_mm, 0)),),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((-self.depth_mm, reach), thick, (-b.width_mm, 0)),
                    leaves=X,
                ),
            ),
            dimensions=(
                Dimension.between(
                    "rebate depth",
                    (-self.depth_mm, b.thickness_mm, 0),
                    (0, b.thickness_mm, 0),
                    View.FRONT,
                ),
                Dimension.between("rebate width", (0, 0, 0), (0, b.thickness_mm, 0), View.FRONT),
                Dimension.between(
                    "side thickness", (-a.thickness_mm, -reach, 0), (0, -reach, 0), View.FRONT
                ),
                Dimension.between(
                    "board width",
                    (reach, b.thickness_mm, -b.width_mm),
                    (reach, b.thickness_mm, 0),
                    View.TOP,
                ),
            ),
        )


JOINT = Rebate
