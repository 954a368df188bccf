"""Mitre: two ends cut to share the corner's angle, at any internal angle and width."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.joint import Arrangement, Given, Joint, Section
from orders.core.mitres import Corner, angle_field, corner_of, mitred, require_corner
from orders.core.solids import Geometry


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
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.CORNER,)

    internal_angle_degree: float = angle_field()

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """A square corner."""
        return {"internal_angle_degree": 90.0}

    def check(self) -> None:
        """The angle must be one that can be cut, and both cuts must lean less than square."""
        require_corner(self.corner)

    @property
    def corner(self) -> Corner:
        """The two parts at their corner."""
        return corner_of(self, self.internal_angle_degree)

    def geometry(self) -> Geometry:
        """The two mitred ends."""
        return mitred(self, self.corner)


JOINT = Mitre
