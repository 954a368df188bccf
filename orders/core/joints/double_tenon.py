"""Double tenon: a wide rail's tenon divided in two, with a short haunch between."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.joint import Advice, Arrangement, Given, Joint, Section, own, require_at_most
from orders.core.solids import Dimension, Geometry, Member, Solid, View
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
)
from orders.core.vectors import X, Y


@dataclass(frozen=True, slots=True, kw_only=True)
class DoubleTenon(Joint):
    """Two tenons one above the other, so that the stile keeps wood between the mortises."""

    code: ClassVar[str] = "double-tenon"
    label: ClassVar[str] = "Double tenon"
    summary: ClassVar[str] = "Two tenons one above the other on a wide rail."
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=90, thickness_mm=42, length_mm=2000),
        Section(width_mm=210, thickness_mm=42, length_mm=700),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.TEE, Arrangement.CORNER)

    tenon_thickness_mm: float = thickness_field()
    tenon_width_mm: float = own(
        "width of each tenon",
        "A quarter of the rail's width, but no more than five times the tenon's thickness.",
        source="Rivington, Notes on Building Construction, title from memory, for the five times",
    )
    gap_mm: float = own(
        "gap between the tenons",
        "About as wide as one tenon.",
        source="common practice, no source",
    )
    tenon_length_mm: float = tenon_length_field()
    haunch_length_mm: float = own(
        "length of the haunch between",
        "As long as the tenon is thick; 0 leaves a plain shoulder.",
        source="common practice, no source",
        least=0.0,
    )
    clearance_mm: float = clearance_field()

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """Two tenons and the gap between them, each a quarter of the rail."""
        thickness = float(given.get("tenon_thickness_mm", usual_thickness(a, b)))
        length = float(given.get("tenon_length_mm", usual_length(a, b)))
        width = float(given.get("tenon_width_mm", min(b.width_mm / 4, 5 * thickness)))
        return {
            "tenon_thickness_mm": thickness,
            "tenon_width_mm": width,
            "gap_mm": max(0.1, min(width, b.width_mm - 2 * width)),
            "tenon_length_mm": length,
            "haunch_length_mm": min(thickness, length / 2),
            "clearance_mm": usual_clearance(a, length),
        }

    def check(self) -> None:
        """Both tenons and the gap must fit the rail, and the haunch must be the shorter."""
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
            self.b.width_mm / 2 - 0.1,
            "Two tenons are wider than the rail; narrow them.",
        )
        require_at_most(
            "gap_mm",
            self.gap_mm,
            self.b.width_mm - 2 * self.tenon_width_mm,
            "The tenons with the gap between them are wider than the rail; close the gap.",
        )
        if self.haunch_length_mm >= self.tenon_length_mm - 1e-9:
            require_at_most(
                "haunch_length_mm",
                self.haunch_length_mm,
                self.tenon_length_mm / 2,
                "The haunch must be shorter than the tenons.",
            )

    @property
    def _place(self) -> TenonPlace:
        """Both tenons and the gap, as one tenon would lie."""
        return TenonPlace.amid(
            self,
            thickness_mm=self.tenon_thickness_mm,
            width_mm=2 * self.tenon_width_mm + self.gap_mm,
            length_mm=self.tenon_length_mm,
            clearance_mm=self.clearance_mm,
        )

    def geometry(self) -> Geometry:
        """The tenons lie evenly about the middle of the rail."""
        place = self._place
        spans = (
            (place.low, place.low + self.tenon_width_mm),
            (place.high - self.tenon_width_mm, place.high),
        )
        tenons = [Solid.block((-place.length_mm, 0), span, place.cheeks) for span in spans]
        mortises = [Solid.block((-place.deep, 0), span, place.cheeks) for span in spans]
        if self.haunch_length_mm:
            between = (spans[0][1], spans[1][0])
            haunch = Solid.block((-self.haunch_length_mm, 0), between, place.cheeks)
            tenons.append(haunch)
            mortises.append(haunch)
        return Geometry(
            members=(
                Member.of(
                    "a", self.a_label, grain=Y, blank=place.stile_blank, cuts=tuple(mortises)
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=place.rail_blank,
                    keeps=(place.rail_body, *tenons),
                    leaves=X,
                ),
            ),
            dimensions=self._dimensions(place, spans),
        )

    def _dimensions(
        self, place: TenonPlace, spans: tuple[tuple[float, float], tuple[float, float]]
    ) -> tuple[Dimension, ...]:
        (low, below), (above, high) = spans
        length, deep, near = place.length_mm, place.deep, place.cheeks
        found = (
            Dimension.between("tenon length", (-length, high, 0), (0, high, 0), View.FRONT),
            Dimension.between("tenon width", (0, above, 0), (0, high, 0), View.FRONT),
            Dimension.between("lower tenon width", (0, low, 0), (0, below, 0), View.FRONT),
            Dimension.between("gap", (0, below, 0), (0, above, 0), View.FRONT),
            Dimension.between("tenon thickness", (0, high, near[0]), (0, high, near[1]), View.TOP),
            Dimension.between("mortise depth", (-deep, low, 0), (0, low, 0), View.FRONT),
            Dimension.between(
                "haunch length", (-self.haunch_length_mm, below, 0), (0, below, 0), View.FRONT
            ),
            Dimension.between("shoulder", (0, high, 0), (0, place.rail.width_mm, 0), View.FRONT),
            *place.part_dimensions(),
        )
        return tuple(one for one in found if one.value_mm > 0)

    def proportions(self) -> tuple[Advice, ...]:
        """The proportions of one tenon, and a gap too narrow to be chopped beside."""
        advice = list(
            tenon_advice(
                self.a,
                self.b,
                thickness_mm=self.tenon_thickness_mm,
                width_mm=self.tenon_width_mm,
                length_mm=self.tenon_length_mm,
            )
        )
        if self.gap_mm < self.tenon_width_mm / 2:
            advice.append(
                Advice(
                    text="The gap is under half the width of a tenon.",
                    reason="The wood left between the mortises splits as they are chopped.",
                    source="common practice, no source",
                )
            )
        return tuple(advice)


JOINT = DoubleTenon
