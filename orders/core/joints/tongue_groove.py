"""Tongue and groove: a tongue along the edge of one board in a groove along another."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.joint import Arrangement, Given, Joint, Section, own, require_at_most
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import X, Y


@dataclass(frozen=True, slots=True, kw_only=True)
class TongueGroove(Joint):
    """Grain runs along the joint in both boards; it aligns them and is no stronger than a butt."""

    code: ClassVar[str] = "tongue-groove"
    label: ClassVar[str] = "Tongue and groove"
    summary: ClassVar[str] = "A tongue along one board's edge in a groove along another's."
    a_label: ClassVar[str] = "grooved board"
    b_label: ClassVar[str] = "tongued board"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=100, thickness_mm=24, length_mm=300),
        Section(width_mm=100, thickness_mm=24, length_mm=300),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.EDGE,)

    tongue_thickness_mm: float = own(
        "tongue thickness",
        "A third of the thinner board.",
        source="Noyes, Handwork in Wood (1910), for the groove",
    )
    tongue_length_mm: float = own(
        "tongue length",
        "As long as the tongue is thick.",
        source="common practice, no source",
    )
    clearance_mm: float = own(
        "clearance below the tongue",
        "0.5 to 1 mm, so that the shoulders close.",
        source="common practice, no source",
        least=0.0,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """A third thick and as long."""
        third = min(a.thickness_mm, b.thickness_mm) / 3
        thickness = float(given.get("tongue_thickness_mm", third))
        return {
            "tongue_thickness_mm": thickness,
            "tongue_length_mm": min(thickness, a.width_mm / 2, b.width_mm / 2),
            "clearance_mm": min(0.5, a.width_mm / 10),
        }

    def check(self) -> None:
        """The groove must keep its cheeks and its floor, the tongued board its width."""
        thin = min(self.a.thickness_mm, self.b.thickness_mm)
        if self.tongue_thickness_mm >= thin - 1e-9:
            require_at_most(
                "tongue_thickness_mm",
                self.tongue_thickness_mm,
                thin / 3,
                "The tongue leaves no cheeks on the thinner board; a third of it is usual.",
            )
        if self.tongue_length_mm + self.clearance_mm >= self.a.width_mm - 1e-9:
            require_at_most(
                "tongue_length_mm",
                self.tongue_length_mm,
                self.a.width_mm / 2,
                "The groove is as deep as the board is wide; shorten the tongue.",
            )
        require_at_most(
            "tongue_length_mm",
            self.tongue_length_mm,
            self.b.width_mm,
            "The tongue is longer than its own board is wide.",
        )

    def geometry(self) -> Geometry:
        """The shoulders close at x = 0; the boards lie side by side for their common length."""
        a, b = self.a, self.b
        run = (0.0, min(a.length_mm, b.length_mm))
        half, half_a, half_b = (
            self.tongue_thickness_mm / 2,
            a.thickness_mm / 2,
            b.thickness_mm / 2,
        )
        deep = self.tongue_length_mm + self.clearance_mm
        far = run[1]
        body = Solid.block((0, b.width_mm), run, (-half_b, half_b))
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block((-a.width_mm, 0), run, (-half_a, half_a)),
                    cuts=(Solid.block((-deep, 0), run, (-half, half)),),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=Y,
                    blank=Solid.block((-self.tongue_length_mm, b.width_mm), run, (-half_b, half_b)),
                    keeps=(
                        body,
                        Solid.block((-self.tongue_length_mm, 0), run, (-half, half)),
                    ),
                    leaves=X,
                ),
            ),
            dimensions=(
                Dimension.between(
                    "tongue length", (-self.tongue_length_mm, far, half), (0, far, half), View.TOP
                ),
                Dimension.between("tongue thickness", (0, far, -half), (0, far, half), View.TOP),
                Dimension.between("groove depth", (-deep, far, -half), (0, far, -half), View.TOP),
                Dimension.between(
                    "board thickness",
                    (b.width_mm, far, -half_b),
                    (b.width_mm, far, half_b),
                    View.TOP,
                ),
            ),
        )


JOINT = TongueGroove
