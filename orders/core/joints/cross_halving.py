"""Cross halving: two parts cross, each cut to half its thickness."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.joint import Arrangement, Given, Joint, Section, own
from orders.core.laps import lapped, require_lap, usual_lap
from orders.core.solids import Geometry


@dataclass(frozen=True, slots=True, kw_only=True)
class CrossHalving(Joint):
    """Both parts run on; one lifts off the other and goes no other way."""

    code: ClassVar[str] = "cross-halving"
    label: ClassVar[str] = "Cross halving"
    summary: ClassVar[str] = "Two parts cross, each cut to half its thickness."
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=48, thickness_mm=24, length_mm=600),
        Section(width_mm=48, thickness_mm=24, length_mm=600),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.CROSS,)

    lap_thickness_mm: float = own(
        "thickness of the rail's lap",
        "Half the thickness of the thinner part, gauged from the face side.",
        source="common practice, no source",
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """Half of the thinner part."""
        return {"lap_thickness_mm": usual_lap(a, b)}

    def check(self) -> None:
        """Something must be left of both parts, and each must be as long as the lap."""
        require_lap(self, self.lap_thickness_mm)

    def geometry(self) -> Geometry:
        """Both parts run on."""
        return lapped(self, self.lap_thickness_mm, a_runs_on=True, b_runs_on=True)


JOINT = CrossHalving
