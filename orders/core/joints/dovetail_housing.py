"""Dovetail housing: one wall of the groove is undercut, so that the shelf cannot be pulled out."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.joint import (
    Arrangement,
    Given,
    Joint,
    Section,
    Unit,
    own,
    require_at_most,
    visible_length,
)
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import X, Y, Z


@dataclass(frozen=True, slots=True, kw_only=True)
class DovetailHousing(Joint):
    """The lower wall is square, the upper one slopes; the shelf is slid in from an edge."""

    code: ClassVar[str] = "dovetail-housing"
    label: ClassVar[str] = "Dovetail housing"
    summary: ClassVar[str] = "A housing with one undercut wall; the shelf slides in from the edge."
    a_label: ClassVar[str] = "side"
    b_label: ClassVar[str] = "shelf"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=200, thickness_mm=18, length_mm=900),
        Section(width_mm=200, thickness_mm=18, length_mm=700),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.SHELF,)

    depth_mm: float = own(
        "depth of the housing",
        "A third of the side's thickness.",
        source="common practice, no source",
    )
    slope: float = own(
        "slope ratio",
        "1 in 6 to 1 in 8 on one wall; 1 in 6 unless said otherwise.",
        source="common practice, no source",
        unit=Unit.RATIO,
        least=1.0,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """A third deep, 1 in 6, steeper where the shelf is too thin for it."""
        depth = float(given.get("depth_mm", min(a.thickness_mm / 3, b.length_mm)))
        return {"depth_mm": depth, "slope": max(6.0, 2 * depth / b.thickness_mm)}

    @property
    def undercut_mm(self) -> float:
        """How much wider the housing is at its bottom than at its mouth."""
        return self.depth_mm / self.slope

    def check(self) -> None:
        """The groove must leave wood in the side, the shoulder wood on the shelf."""
        if self.depth_mm >= self.a.thickness_mm - 1e-9:
            require_at_most(
                "depth_mm",
                self.depth_mm,
                self.a.thickness_mm / 3,
                "The housing cuts right through the side; a third of its thickness is usual.",
            )
        require_at_most(
            "depth_mm",
            self.depth_mm,
            self.b.length_mm,
            "The housing is deeper than the shelf is long.",
        )
        require_at_most(
            "b/width_mm",
            self.b.width_mm,
            self.a.width_mm,
            "The shelf is wider than the side; make it no wider.",
        )
        if self.undercut_mm >= self.b.thickness_mm - 1e-9:
            require_at_most(
                "depth_mm",
                self.depth_mm,
                self.slope * self.b.thickness_mm / 2,
                "The slope runs right through the shelf; make the housing shallower.",
            )

    def geometry(self) -> Geometry:
        """The side's inner face is x = 0, its front edge z = 0; the groove runs right through."""
        reach = visible_length(self)
        side, shelf, deep = self.a, self.b, self.depth_mm
        thick, neck = shelf.thickness_mm, shelf.thickness_mm - self.undercut_mm
        outline = ((-deep, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, neck, 0.0), (-deep, thick, 0.0))
        groove = Solid.prism(outline, (0.0, 0.0, -side.width_mm))
        tail = Solid.prism(outline, (0.0, 0.0, -shelf.width_mm))
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block(
                        (-side.thickness_mm, 0), (-reach, thick + reach), (-side.width_mm, 0)
                    ),
                    cuts=(groove,),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((-deep, reach), (0, thick), (-shelf.width_mm, 0)),
                    keeps=(
                        Solid.block((0, reach), (0, thick), (-shelf.width_mm, 0)),
                        tail,
                    ),
                    leaves=Z,
                ),
            ),
            dimensions=(
                Dimension.between("housing depth", (-deep, thick, 0), (0, thick, 0), View.FRONT),
                Dimension.between("width at the mouth", (0, 0, 0), (0, neck, 0), View.FRONT),
                Dimension.between(
                    "width at the bottom", (-deep, 0, 0), (-deep, thick, 0), View.FRONT
                ),
                Dimension.between(
                    "side thickness", (-side.thickness_mm, -reach, 0), (0, -reach, 0), View.FRONT
                ),
                Dimension.between(
                    "shelf width", (reach, thick, -shelf.width_mm), (reach, thick, 0), View.TOP
                ),
            ),
        )


JOINT = DovetailHousing
