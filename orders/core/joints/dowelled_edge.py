"""Dowelled edge: two boards side by side, kept level by dowels in their edges."""

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
from orders.core.solids import Dimension, Geometry, Hole, Member, Solid, View
from orders.core.vectors import Vector, X, Y

MOST_DOWELS = 60
USUAL_SPACING_MM = 250.0
LEAST_SPACING_MM, MOST_SPACING_MM = 75.0, 300.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DowelledEdge(Joint):
    """The glue in the edges does the work; the dowels keep the faces level while it sets."""

    code: ClassVar[str] = "dowelled-edge"
    label: ClassVar[str] = "Dowelled edge"
    summary: ClassVar[str] = "Boards glued edge to edge and kept level by dowels."
    a_label: ClassVar[str] = "board"
    b_label: ClassVar[str] = "second board"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=120, thickness_mm=24, length_mm=900),
        Section(width_mm=120, thickness_mm=24, length_mm=900),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.EDGE,)

    dowel_count: int = own(
        "number of dowels",
        "One about every 250 mm, two at least; 75 to 300 apart is usual.",
        source="nineteenth-century mechanics' handbook, title not known",
        unit=Unit.COUNT,
        least=1,
        most=MOST_DOWELS,
    )
    diameter_mm: float = own(
        "dowel diameter",
        "Two fifths of the thinner board, to the nearest bit.",
        source="common practice, no source",
    )
    depth_mm: float = own(
        "dowel in each board",
        "Three times the diameter, as far as the boards allow.",
        source="common practice, no source",
    )
    clearance_mm: float = own(
        "room at the bottom of each hole",
        "1.5 mm, so that the dowel is 3 mm shorter than its two holes together.",
        source="nineteenth-century mechanics' handbook, title not known",
        least=0.0,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """Two fifths thick, three diameters deep, about every 250 mm."""
        thin, narrow = min(a.thickness_mm, b.thickness_mm), min(a.width_mm, b.width_mm)
        length = min(a.length_mm, b.length_mm)
        tool = nearest_tool(thin * 2 / 5)
        diameter = float(given.get("diameter_mm", tool if tool <= thin / 2 else thin * 2 / 5))
        clearance = float(given.get("clearance_mm", min(1.5, narrow / 10)))
        usual = max(2, min(MOST_DOWELS, round(length / USUAL_SPACING_MM)))
        return {
            "dowel_count": usual if length >= 4 * diameter else 1,
            "diameter_mm": diameter,
            "depth_mm": min(3 * diameter, max(0.1, narrow * 0.6 - clearance)),
            "clearance_mm": clearance,
        }

    @property
    def run_mm(self) -> float:
        """The length along which the boards meet."""
        return min(self.a.length_mm, self.b.length_mm)

    @property
    def spacing_mm(self) -> float:
        """From one dowel to the next; the first stands half as far from the end."""
        return self.run_mm / self.dowel_count

    def check(self) -> None:
        """The dowels must fit the edges and stay within both boards."""
        thin = min(self.a.thickness_mm, self.b.thickness_mm)
        if self.diameter_mm >= thin - 1e-9:
            raise RuleBroken(
                "diameter_mm",
                "The dowel is as thick as the thinner board or thicker; half of it is usual.",
                nearest=thin / 2,
            )
        most = int(self.run_mm / (self.diameter_mm * 1.25))
        if most < 1:
            raise RuleBroken(
                "a/length_mm" if self.a.length_mm <= self.b.length_mm else "b/length_mm",
                "The boards are too short for a dowel of this thickness.",
                nearest=self.diameter_mm * 1.25,
            )
        require_at_most(
            "dowel_count",
            self.dowel_count,
            most,
            f"There is room for {most} dowels of {self.diameter_mm:g} mm along these boards.",
        )
        narrow = min(self.a.width_mm, self.b.width_mm)
        if self.depth_mm + self.clearance_mm >= narrow - 1e-9:
            raise RuleBroken(
                "depth_mm",
                "The hole comes out on the far edge of the narrower board; shorten the dowel.",
                nearest=max(0.1, narrow * 0.6 - self.clearance_mm),
            )

    def geometry(self) -> Geometry:
        """The edges meet at x = 0; the boards lie side by side for their common length."""
        a, b, run = self.a, self.b, (0.0, self.run_mm)
        half_a, half_b = a.thickness_mm / 2, b.thickness_mm / 2
        heights = [self.spacing_mm * (place + 0.5) for place in range(self.dowel_count)]
        rods = tuple(
            Solid.cylinder((-self.depth_mm, y, 0), (self.depth_mm, y, 0), self.diameter_mm)
            for y in heights
        )
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block((-a.width_mm, 0), run, (-half_a, half_a)),
                    holes=self._holes(heights, (-1.0, 0.0, 0.0)),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=Y,
                    blank=Solid.block((0, b.width_mm), run, (-half_b, half_b)),
                    holes=self._holes(heights, X),
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
            dimensions=self._dimensions(heights),
        )

    def _holes(self, heights: list[float], direction: Vector) -> tuple[Hole, ...]:
        return tuple(
            Hole(
                mouth=(0, y, 0),
                direction=direction,
                diameter_mm=self.diameter_mm,
                depth_mm=self.depth_mm + self.clearance_mm,
            )
            for y in heights
        )

    def _dimensions(self, heights: list[float]) -> tuple[Dimension, ...]:
        first, radius = heights[0], self.diameter_mm / 2
        half, far = self.b.thickness_mm / 2, self.run_mm
        found = [
            Dimension.between("first dowel from the end", (0, 0, 0), (0, first, 0), View.FRONT),
            Dimension.between(
                "dowel in each board", (0, first, 0), (self.depth_mm, first, 0), View.FRONT
            ),
            Dimension.between(
                "dowel diameter", (0, first - radius, 0), (0, first + radius, 0), View.SIDE
            ),
            Dimension.between(
                "board thickness",
                (self.b.width_mm, far, -half),
                (self.b.width_mm, far, half),
                View.TOP,
            ),
        ]
        if len(heights) > 1:
            found.append(
                Dimension.between("dowel spacing", (0, first, 0), (0, heights[1], 0), View.FRONT)
            )
        return tuple(found)

    def proportions(self) -> tuple[Advice, ...]:
        """Spacing and diameter against the usual."""
        thin = min(self.a.thickness_mm, self.b.thickness_mm)
        advice = []
        if self.dowel_count > 1 and not LEAST_SPACING_MM <= self.spacing_mm <= MOST_SPACING_MM:
            advice.append(
                Advice(
                    text="The dowels stand outside the usual 75 to 300 mm apart.",
                    reason="Too far apart they do not keep the faces level, closer is only work.",
                    source="nineteenth-century mechanics' handbook, title not known",
                )
            )
        if not thin / 3 - 1e-9 <= self.diameter_mm <= thin / 2 + 1e-9:
            advice.append(
                Advice(
                    text="The dowel is outside a third to a half of the thinner board.",
                    reason="A thin dowel bends and a thick one leaves weak walls.",
                    source="common practice, no source",
                )
            )
        return tuple(advice)


JOINT = DowelledEdge
