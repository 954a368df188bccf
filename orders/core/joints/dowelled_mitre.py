"""Dowelled mitre: a mitre kept in line by dowels square to its face."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.errors import RuleBroken
from orders.core.joint import (
    Advice,
    Arrangement,
    Given,
    Joint,
    Section,
    Unit,
    nearest_tool,
    own,
    require_at_most,
)
from orders.core.mitres import Corner, angle_field, corner_of, mitred, require_corner
from orders.core.solids import Dimension, Geometry, Hole, Member, Solid, View
from orders.core.vectors import Vector, times

MOST_DOWELS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class DowelledMitre(Joint):
    """The dowels stand in the middle of the thickness, evenly along the mitre."""

    code: ClassVar[str] = "dowelled-mitre"
    label: ClassVar[str] = "Dowelled mitre"
    summary: ClassVar[str] = "A mitre kept in line by dowels square to its face."
    a_label: ClassVar[str] = "upright"
    b_label: ClassVar[str] = "cross piece"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=60, thickness_mm=22, length_mm=600),
        Section(width_mm=60, thickness_mm=22, length_mm=400),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.CORNER,)

    internal_angle_degree: float = angle_field()
    dowel_count: int = own(
        "number of dowels",
        "Two; one in a narrow mitre.",
        source="common practice, no source",
        unit=Unit.COUNT,
        least=1,
        most=MOST_DOWELS,
    )
    diameter_mm: float = own(
        "dowel diameter",
        "A third of the thinner part, to the nearest bit.",
        source="common practice, no source",
    )
    depth_mm: float = own(
        "dowel in each part",
        "Three times the diameter, as far as the mitre allows near its outer corner.",
        source="common practice, no source",
    )
    clearance_mm: float = own(
        "room at the bottom of each hole",
        "1 mm, so that the mitre closes.",
        source="common practice, no source",
        least=0.0,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """A third thick, three diameters deep where the outer corner allows."""
        angle = float(given.get("internal_angle_degree", 90.0))
        corner = Corner(a=a, b=b, angle_degree=angle)
        require_corner(corner)
        thin = min(a.thickness_mm, b.thickness_mm)
        tool, limit = nearest_tool(thin / 3), min(thin / 2, corner.length_mm / 5)
        diameter = float(given.get("diameter_mm", tool if tool <= limit else min(thin / 3, limit)))
        usual = 2 if corner.length_mm >= 6 * diameter else 1
        count = int(given.get("dowel_count", usual))
        room = _room(corner, count, diameter)
        clearance = float(given.get("clearance_mm", max(0.0, min(1.0, room / 6))))
        return {
            "internal_angle_degree": angle,
            "dowel_count": count,
            "diameter_mm": diameter,
            "depth_mm": max(0.1, min(3 * diameter, 0.7 * room - clearance)),
            "clearance_mm": clearance,
        }

    @property
    def corner(self) -> Corner:
        """The two parts at their corner."""
        return corner_of(self, self.internal_angle_degree)

    def check(self) -> None:
        """The mitre must be one that can be cut, and the dowels must stay within it."""
        corner = self.corner
        require_corner(corner)
        thin = min(self.a.thickness_mm, self.b.thickness_mm)
        if self.diameter_mm >= thin - 1e-9:
            raise RuleBroken(
                "diameter_mm",
                "The dowel is as thick as the thinner part or thicker; a third of it is usual.",
                nearest=thin / 3,
            )
        most = int(corner.length_mm / (1.5 * self.diameter_mm)) - 1
        if most < 1:
            raise RuleBroken(
                "diameter_mm",
                "The dowel is too thick for so short a mitre.",
                nearest=corner.length_mm / 4,
            )
        require_at_most(
            "dowel_count",
            self.dowel_count,
            most,
            f"There is room for {most} dowels of {self.diameter_mm:g} mm along this mitre.",
        )
        room = _room(corner, self.dowel_count, self.diameter_mm)
        if self.depth_mm + self.clearance_mm >= room - 1e-9:
            raise RuleBroken(
                "depth_mm",
                "The hole nearest the outer corner comes out of the edge; shorten the dowels.",
                nearest=max(0.1, 0.7 * room - self.clearance_mm),
            )

    def geometry(self) -> Geometry:
        """The mitre with holes square to it on both sides, and the dowels between."""
        corner = self.corner
        places = _places(corner, self.dowel_count)
        rods = tuple(
            Solid.cylinder(
                corner.spot(place, -self.depth_mm),
                corner.spot(place, self.depth_mm),
                self.diameter_mm,
            )
            for place in places
        )
        front = self.b.thickness_mm / 2
        last, radius = places[-1], self.diameter_mm / 2
        return mitred(
            self,
            corner,
            holes_a=self._holes(places, times(corner.across, -1.0)),
            holes_b=self._holes(places, corner.across),
            key=Member(
                key="dowel",
                label="dowel",
                grain=corner.across,
                solids=rods,
                blank=rods,
                leaves=times(corner.across, 0.5),
            ),
            dimensions=(
                Dimension.between(
                    "first dowel",
                    corner.spot(0, 0, front),
                    corner.spot(places[0], 0, front),
                    View.FRONT,
                ),
                Dimension.between(
                    "dowel in each part",
                    corner.spot(last, 0, front),
                    corner.spot(last, self.depth_mm, front),
                    View.FRONT,
                ),
                Dimension.between(
                    "dowel diameter",
                    corner.spot(last - radius, 0, front),
                    corner.spot(last + radius, 0, front),
                    View.FRONT,
                ),
            ),
        )

    def _holes(self, places: list[float], direction: Vector) -> tuple[Hole, ...]:
        return tuple(
            Hole(
                mouth=self.corner.spot(place),
                direction=direction,
                diameter_mm=self.diameter_mm,
                depth_mm=self.depth_mm + self.clearance_mm,
            )
            for place in places
        )

    def proportions(self) -> tuple[Advice, ...]:
        """Number and depth against the usual."""
        advice = []
        if self.dowel_count < 2:
            advice.append(
                Advice(
                    text="One dowel lets the mitre turn.",
                    reason="Two dowels at least keep it in line while the glue sets.",
                    source="common practice, no source",
                )
            )
        if self.depth_mm < 1.5 * self.diameter_mm:
            advice.append(
                Advice(
                    text="The dowels are shorter in each part than one and a half diameters.",
                    reason="So little in each part pulls out; take thinner dowels.",
                    source="common practice, no source",
                )
            )
        return tuple(advice)


def _places(corner: Corner, count: int) -> list[float]:
    """Distances from the inner corner along the mitre."""
    return [corner.length_mm * (number + 1) / (count + 1) for number in range(count)]


def _room(corner: Corner, count: int, diameter_mm: float) -> float:
    """How deep every hole may be, its rim included, before it comes out of either part."""
    rims = [
        place + side * diameter_mm / 2 for place in _places(corner, count) for side in (-1.0, 1.0)
    ]
    inside = [rim for rim in rims if 0 < rim < corner.length_mm]
    return min((corner.room_mm(key, rim) for rim in inside for key in ("a", "b")), default=0.0)


JOINT = DowelledMitre
