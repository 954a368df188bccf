"""T halving: the end of a rail is lapped into the run of a stile."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.joint import Arrangement, Given, Joint, Section, own
from orders.core.laps import lapped, require_lap, usual_lap
from orders.core.solids import Geometry


@dataclass(frozen=True, slots=True, kw_only=True)
class THalving(Joint):
    """The stile runs on past the rail and holds it on both edges."""

    code: ClassVar[str] = "t-halving"
    label: ClassVar[str] = "T halving"
    summary: ClassVar[str] = "The end of a rail lapped into the run of a stile."
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=48, thickness_mm=24, length_mm=600),
        Section(width_mm=48, thickness_mm=24, length_mm=600),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.TEE,)

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
        """The stile runs on, the rail ends in it."""
        return lapped(self, self.lap_thickness_mm, a_runs_on=True, b_runs_on=False)


JOINT = THalving
