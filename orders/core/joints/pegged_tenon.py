"""Pegged tenon: a peg through stile and tenon draws the shoulder tight and keeps it without glue."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.errors import RuleBroken
from orders.core.joint import (
    TOOL_SIZES_MM,
    Advice,
    Arrangement,
    Given,
    Joint,
    Section,
    Unit,
    own,
    require_at_most,
)
from orders.core.solids import Dimension, Geometry, Hole, Member, Solid, View
from orders.core.tenons import (
    TenonPlace,
    clearance_field,
    require_tenon,
    tenon_advice,
    tenon_length_field,
    thickness_field,
    usual_clearance,
    usual_length,
    usual_thickness,
    width_field,
)
from orders.core.vectors import X, Y, Z

DRAW_PER_DIAMETER = 0.25
MOST_DRAW_PER_DIAMETER = 0.35
USUAL_DRAW_MM = 2.4
LEAST_WALL_MM = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PeggedTenon(Joint):
    """The hole in the tenon is bored a little nearer its shoulder, so that the peg draws it home."""

    code: ClassVar[str] = "pegged-tenon"
    label: ClassVar[str] = "Pegged tenon"
    summary: ClassVar[str] = "A tenon drawn tight and locked by pegs through the stile."
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=70, thickness_mm=45, length_mm=900),
        Section(width_mm=90, thickness_mm=45, length_mm=800),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.TEE, Arrangement.CORNER)

    tenon_thickness_mm: float = thickness_field()
    tenon_width_mm: float = width_field()
    tenon_length_mm: float = tenon_length_field()
    clearance_mm: float = clearance_field()
    peg_count: int = own(
        "number of pegs",
        "One in a narrow tenon, two from 60 mm of width.",
        source="common practice, no source",
        unit=Unit.COUNT,
        least=1,
        most=6,
    )
    peg_diameter_mm: float = own(
        "peg diameter",
        "Up to a quarter of the tenon's width and a third of its length, to the bit below.",
        source="period-tool text, second-hand, for the quarter of the width",
    )
    draw_mm: float = own(
        "draw towards the shoulder",
        "A quarter of the peg's diameter, no more than 2.4; 0 bores both holes in line.",
        source="period-tool text and tool leaflet, second-hand",
        least=0.0,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """The tenon as usual, pegs of a quarter of its width, drawn by a quarter of that."""
        thickness = float(given.get("tenon_thickness_mm", usual_thickness(a, b)))
        length = float(given.get("tenon_length_mm", usual_length(a, b)))
        width = float(given.get("tenon_width_mm", min(b.width_mm * 2 / 3, 6 * thickness)))
        count = int(given.get("peg_count", 2 if width >= 60 else 1))
        limit = min(width / count / 4, length / 3)
        bit = max((size for size in TOOL_SIZES_MM if size <= min(limit, 12.0)), default=limit)
        diameter = float(given.get("peg_diameter_mm", bit))
        return {
            "tenon_thickness_mm": thickness,
            "tenon_width_mm": width,
            "tenon_length_mm": length,
            "clearance_mm": usual_clearance(a, length),
            "peg_count": count,
            "peg_diameter_mm": diameter,
            "draw_mm": round(min(diameter * DRAW_PER_DIAMETER, USUAL_DRAW_MM), 1),
        }

    def check(self) -> None:
        """The tenon must fit both parts, and the pegs must stand within it."""
        require_tenon(
            self.a,
            self.b,
            thickness_mm=self.tenon_thickness_mm,
            length_mm=self.tenon_length_mm,
            clearance_mm=self.clearance_mm,
        )
        require_at_most(
            "tenon_width_mm",
            self.tenon_width_mm,
            self.b.width_mm,
            "The tenon cannot be wider than the rail.",
        )
        room = min(self.tenon_width_mm / self.peg_count, self.tenon_length_mm)
        if self.peg_diameter_mm >= room - 2 * min(LEAST_WALL_MM, room / 4):
            raise RuleBroken(
                "peg_diameter_mm",
                "The pegs leave nothing of the tenon; take thinner or fewer pegs.",
                nearest=room / 3,
            )
        require_at_most(
            "draw_mm",
            self.draw_mm,
            self.peg_diameter_mm / 2,
            "The peg cannot find a hole that is half its diameter aside; draw it less.",
        )

    @property
    def _place(self) -> TenonPlace:
        return TenonPlace.amid(
            self,
            thickness_mm=self.tenon_thickness_mm,
            width_mm=self.tenon_width_mm,
            length_mm=self.tenon_length_mm,
            clearance_mm=self.clearance_mm,
        )

    def geometry(self) -> Geometry:
        """Drawn home: the holes in line, the pegs through both faces of the stile."""
        place = self._place
        pitch = self.tenon_width_mm / self.peg_count
        spots = [
            (-self.tenon_length_mm / 2, place.low + pitch * (number + 0.5))
            for number in range(self.peg_count)
        ]
        front, cheek = self.a.thickness_mm / 2, self.tenon_thickness_mm / 2
        pegs = tuple(
            Solid.cylinder((x, y, -front), (x, y, front), self.peg_diameter_mm) for x, y in spots
        )
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=place.stile_blank,
                    cuts=(place.mortise,),
                    holes=self._holes(spots, front),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=place.rail_blank,
                    keeps=(place.rail_body, place.tenon),
                    holes=self._holes(spots, cheek),
                    leaves=X,
                ),
                Member(key="peg", label="peg", grain=Z, solids=pegs, blank=pegs, leaves=Z),
            ),
            dimensions=(*place.dimensions(), *self._peg_dimensions(spots, front)),
        )

    def _holes(self, spots: list[tuple[float, float]], front: float) -> tuple[Hole, ...]:
        return tuple(
            Hole(
                mouth=(x, y, front),
                direction=(0.0, 0.0, -1.0),
                diameter_mm=self.peg_diameter_mm,
                depth_mm=2 * front,
            )
            for x, y in spots
        )

    def _peg_dimensions(
        self, spots: list[tuple[float, float]], front: float
    ) -> tuple[Dimension, ...]:
        (x, y), radius = spots[0], self.peg_diameter_mm / 2
        found = [
            Dimension.between("peg from shoulder", (x, y, front), (0, y, front), View.FRONT),
            Dimension.between(
                "peg diameter", (x - radius, y, front), (x + radius, y, front), View.FRONT
            ),
        ]
        if self.draw_mm:
            found.append(
                Dimension.between(
                    "tenon hole from shoulder",
                    (x, y, -front),
                    (-self.draw_mm, y, -front),
                    View.FRONT,
                )
            )
        return tuple(found)

    def proportions(self) -> tuple[Advice, ...]:
        """The tenon's proportions, and a draw that splits or breaks."""
        advice = list(
            tenon_advice(
                self.a,
                self.b,
                thickness_mm=self.tenon_thickness_mm,
                width_mm=self.tenon_width_mm,
                length_mm=self.tenon_length_mm,
            )
        )
        if self.draw_mm > self.peg_diameter_mm * MOST_DRAW_PER_DIAMETER:
            advice.append(
                Advice(
                    text="The draw is more than a third of the peg's diameter.",
                    reason="The peg breaks, or the end of the tenon shears off, as it is driven.",
                    source="period-tool text and tool leaflet, second-hand",
                )
            )
        if self.peg_diameter_mm > self.tenon_width_mm / 4 + 1e-9:
            advice.append(
                Advice(
                    text="The peg is thicker than a quarter of the tenon's width.",
                    reason="A thick peg leaves too little tenon beside its hole.",
                    source="period-tool text, second-hand",
                )
            )
        return tuple(advice)


JOINT = PeggedTenon
