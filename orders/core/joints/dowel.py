"""Dowel: the end of a rail against a stile, held by round pegs in bored holes."""

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
    visible_length,
)
from orders.core.solids import Dimension, Geometry, Hole, Member, Solid, View
from orders.core.vectors import X, Y

MOST_DOWELS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Dowel(Joint):
    """Dowels in one row along the rail's width, half a pitch from each edge."""

    code: ClassVar[str] = "dowel"
    label: ClassVar[str] = "Dowel"
    summary: ClassVar[str] = "The end of a rail against a stile, held by round pegs."
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=48, thickness_mm=24, length_mm=900),
        Section(width_mm=60, thickness_mm=24, length_mm=500),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.TEE, Arrangement.CORNER)

    dowel_count: int = own(
        "number of dowels",
        "Two in a rail, and one more for every 75 mm of width beyond 75.",
        source="common practice, no source",
        unit=Unit.COUNT,
        least=1,
        most=MOST_DOWELS,
    )
    diameter_mm: float = own(
        "dowel diameter",
        "Two fifths of the thinner part, to the nearest bit; a third to a half is usual.",
        source="common practice, no source",
    )
    depth_a_mm: float = own(
        "dowel in the stile",
        "Three times the diameter, as far as the stile allows.",
        source="common practice, no source",
    )
    depth_b_mm: float = own(
        "dowel in the rail",
        "Three times the diameter.",
        source="common practice, no source",
    )
    clearance_mm: float = own(
        "room at the bottom of each hole",
        "1.5 mm, so that the dowel is 3 mm shorter than its two holes together.",
        source="common practice, no source",
        least=0.0,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """Two fifths thick, three diameters into each part."""
        thin = min(a.thickness_mm, b.thickness_mm, b.width_mm)
        tool = nearest_tool(thin * 2 / 5)
        diameter = float(given.get("diameter_mm", tool if tool <= thin / 2 else thin * 2 / 5))
        clearance = float(given.get("clearance_mm", min(1.5, a.width_mm / 10)))
        usual = min(MOST_DOWELS, 2 + max(0, int((b.width_mm - 75) // 75)))
        return {
            "dowel_count": usual if b.width_mm >= 4 * diameter else 1,
            "diameter_mm": diameter,
            "depth_a_mm": min(3 * diameter, max(0.1, a.width_mm * 0.8 - clearance)),
            "depth_b_mm": min(3 * diameter, max(0.1, b.length_mm / 2 - clearance)),
            "clearance_mm": clearance,
        }

    def check(self) -> None:
        """The dowels must fit the parts and stand clear of one another."""
        thin = min(self.a.thickness_mm, self.b.thickness_mm)
        if self.diameter_mm >= thin - 1e-9:
            raise RuleBroken(
                "diameter_mm",
                "The dowel is as thick as the thinner part or thicker; half its thickness is usual.",
                nearest=thin / 2,
            )
        most = int(self.b.width_mm / (self.diameter_mm * 1.25))
        if most < 1:
            raise RuleBroken(
                "diameter_mm",
                "The dowel is too thick for the rail's width.",
                nearest=self.b.width_mm / 2,
            )
        require_at_most(
            "dowel_count",
            self.dowel_count,
            most,
            f"There is room for {most} dowels of {self.diameter_mm:g} mm in this rail, no more.",
        )
        if self.depth_a_mm + self.clearance_mm >= self.a.width_mm - 1e-9:
            raise RuleBroken(
                "depth_a_mm",
                "The hole comes out on the far side of the stile; shorten the dowel.",
                nearest=max(0.1, self.a.width_mm * 0.8 - self.clearance_mm),
            )
        if self.depth_b_mm + self.clearance_mm >= self.b.length_mm:
            raise RuleBroken(
                "depth_b_mm",
                "The hole is deeper than the rail is long; shorten the dowel.",
                nearest=max(0.1, self.b.length_mm / 2 - self.clearance_mm),
            )

    def geometry(self) -> Geometry:
        """The rail's end stands at x = 0, the dowels run along x."""
        reach = max(visible_length(self), self.depth_b_mm + self.clearance_mm + self.diameter_mm)
        stile, rail = self.a, self.b
        half_a, half_b = stile.thickness_mm / 2, rail.thickness_mm / 2
        pitch = rail.width_mm / self.dowel_count
        heights = [pitch * (place + 0.5) for place in range(self.dowel_count)]
        rods = tuple(
            Solid.cylinder((-self.depth_a_mm, y, 0), (self.depth_b_mm, y, 0), self.diameter_mm)
            for y in heights
        )
        lowest, radius = heights[0], self.diameter_mm / 2
        dimensions = [
            Dimension.between(
                "dowel diameter", (0, lowest - radius, 0), (0, lowest + radius, 0), View.SIDE
            ),
            Dimension.between(
                "dowel in the stile", (-self.depth_a_mm, lowest, 0), (0, lowest, 0), View.FRONT
            ),
            Dimension.between(
                "dowel in the rail", (0, lowest, 0), (self.depth_b_mm, lowest, 0), View.FRONT
            ),
            Dimension.between("first dowel from edge", (0, 0, 0), (0, lowest, 0), View.FRONT),
            Dimension.between(
                "stile width", (-stile.width_mm, -reach, 0), (0, -reach, 0), View.FRONT
            ),
            Dimension.between("rail width", (reach, 0, 0), (reach, rail.width_mm, 0), View.FRONT),
        ]
        if self.dowel_count > 1:
            dimensions.append(
                Dimension.between("dowel spacing", (0, lowest, 0), (0, heights[1], 0), View.FRONT)
            )
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block(
                        (-stile.width_mm, 0), (-reach, rail.width_mm + reach), (-half_a, half_a)
                    ),
                    holes=self._holes(heights, (-1.0, 0.0, 0.0), self.depth_a_mm),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((0, reach), (0, rail.width_mm), (-half_b, half_b)),
                    holes=self._holes(heights, X, self.depth_b_mm),
                    leaves=X,
                ),
                Member(
                    key="dowel",
                    label="dowel",
                    grain=X,
                    solids=rods,
                    blank=rods,
                    leaves=(0.5, 0.0, 0.0),
                ),
            ),
            dimensions=tuple(dimensions),
        )

    def _holes(
        self, heights: list[float], direction: tuple[float, float, float], depth_mm: float
    ) -> tuple[Hole, ...]:
        return tuple(
            Hole(
                mouth=(0, y, 0),
                direction=direction,
                diameter_mm=self.diameter_mm,
                depth_mm=depth_mm + self.clearance_mm,
            )
            for y in heights
        )

    def proportions(self) -> tuple[Advice, ...]:
        """Diameter, number and depth against the usual."""
        thin = min(self.a.thickness_mm, self.b.thickness_mm)
        advice = []
        if not thin / 3 - 1e-9 <= self.diameter_mm <= thin / 2 + 1e-9:
            advice.append(
                Advice(
                    text="The dowel is outside a third to a half of the thinner part.",
                    reason="A thin dowel bends and a thick one leaves weak walls.",
                    source="common practice, no source",
                )
            )
        if self.dowel_count < 2:
            advice.append(
                Advice(
                    text="One dowel lets the rail turn.",
                    reason="Two dowels at least keep a rail from twisting.",
                    source="common practice, no source",
                )
            )
        if min(self.depth_a_mm, self.depth_b_mm) < 2 * self.diameter_mm:
            advice.append(
                Advice(
                    text="The dowel is shorter in one part than twice its diameter.",
                    reason="Three diameters in each part are usual; less pulls out.",
                    source="common practice, no source",
                )
            )
        return tuple(advice)


JOINT = Dowel
