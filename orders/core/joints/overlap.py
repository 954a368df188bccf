"""Overlap: one part laid on the face of another, nothing cut."""

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
from orders.core.vectors import X, Y, Z


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap(Joint):
    """Face on face; the glue or a fixing does all the work."""

    code: ClassVar[str] = "overlap"
    label: ClassVar[str] = "Overlap"
    summary: ClassVar[str] = "One part laid on the face of another, nothing cut."
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=48, thickness_mm=24, length_mm=600),
        Section(width_mm=48, thickness_mm=24, length_mm=600),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (
        Arrangement.TEE,
        Arrangement.CORNER,
        Arrangement.CROSS,
    )

    overlap_mm: float = own(
        "overlap",
        "The full width of the part below.",
        source="common practice, no source",
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """The full width."""
        return {"overlap_mm": min(a.width_mm, b.length_mm)}

    def check(self) -> None:
        """The overlap ends on the part below and is no longer than the part above."""
        require_at_most(
            "overlap_mm",
            self.overlap_mm,
            min(self.a.width_mm, self.b.length_mm),
            "The overlap is longer than the part below is wide or the one above is long.",
        )

    def geometry(self) -> Geometry:
        """Part a lies behind z = 0, part b in front of it."""
        reach = visible_length(self)
        a, b = self.a, self.b
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block(
                        (-a.width_mm, 0), (-reach, b.width_mm + reach), (-a.thickness_mm, 0)
                    ),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block(
                        (-self.overlap_mm, reach), (0, b.width_mm), (0, b.thickness_mm)
                    ),
                    leaves=Z,
                ),
            ),
            dimensions=(
                Dimension.between(
                    "overlap", (-self.overlap_mm, b.width_mm, 0), (0, b.width_mm, 0), View.FRONT
                ),
                Dimension.between("rail width", (reach, 0, 0), (reach, b.width_mm, 0), View.FRONT),
                Dimension.between(
                    "stile thickness", (0, -reach, -a.thickness_mm), (0, -reach, 0), View.SIDE
                ),
            ),
        )


JOINT = Overlap
