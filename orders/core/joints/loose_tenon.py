"""Loose tenon: a separate tongue of wood glued into a mortise in each part."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.joint import Advice, Arrangement, Given, Joint, Section, own, require_at_most
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.tenons import (
    TenonPlace,
    require_tenon,
    tenon_advice,
    thickness_field,
    usual_length,
    usual_thickness,
    width_field,
)
from orders.core.vectors import X, Y


@dataclass(frozen=True, slots=True, kw_only=True)
class LooseTenon(Joint):
    """Both parts are mortised and the rail keeps its length; the tongue's grain runs across."""

    code: ClassVar[str] = "loose-tenon"
    label: ClassVar[str] = "Loose tenon"
    summary: ClassVar[str] = "A separate tongue glued into a mortise in each part."
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=48, thickness_mm=24, length_mm=900),
        Section(width_mm=60, thickness_mm=24, length_mm=500),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.TEE, Arrangement.CORNER)

    tenon_thickness_mm: float = thickness_field()
    tenon_width_mm: float = width_field()
    depth_a_mm: float = own(
        "tongue in the stile",
        "Two thirds of the stile's width.",
        source="common practice, no source",
    )
    depth_b_mm: float = own(
        "tongue in the rail",
        "As deep as in the stile.",
        source="common practice, no source",
    )
    clearance_mm: float = own(
        "room at the bottom of each mortise",
        "1 mm, so that the shoulder closes.",
        source="common practice, no source",
        least=0.0,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """A third thick, two thirds wide, as deep in the rail as in the stile."""
        thickness = float(given.get("tenon_thickness_mm", usual_thickness(a, b)))
        depth = float(given.get("depth_a_mm", usual_length(a, b)))
        clearance = max(0.0, min(1.0, a.width_mm - depth, b.length_mm / 4))
        return {
            "tenon_thickness_mm": thickness,
            "tenon_width_mm": min(b.width_mm * 2 / 3, 6 * thickness),
            "depth_a_mm": depth,
            "depth_b_mm": min(depth, b.length_mm / 3),
            "clearance_mm": clearance,
        }

    def check(self) -> None:
        """The tongue must fit both mortises, and neither may come out on the far side."""
        require_tenon(
            self.a,
            self.b,
            thickness_mm=self.tenon_thickness_mm,
            length_mm=self.depth_a_mm,
            clearance_mm=self.clearance_mm,
            length_field="depth_a_mm",
        )
        thin = min(self.a.thickness_mm, self.b.thickness_mm)
        if self.tenon_thickness_mm >= thin - 1e-9:
            require_at_most(
                "tenon_thickness_mm",
                self.tenon_thickness_mm,
                thin / 3,
                "The mortise leaves no cheeks on the thinner part; a third of it is usual.",
            )
        if self.tenon_width_mm >= self.b.width_mm - 1e-9:
            require_at_most(
                "tenon_width_mm",
                self.tenon_width_mm,
                self.b.width_mm * 2 / 3,
                "The mortise in the rail is as wide as the rail; narrow the tongue.",
            )
        require_at_most(
            "depth_b_mm",
            self.depth_b_mm,
            self.b.length_mm - self.clearance_mm - 0.1,
            "The mortise is deeper than the rail is long; shorten the tongue.",
        )

    @property
    def _place(self) -> TenonPlace:
        return TenonPlace.amid(
            self,
            thickness_mm=self.tenon_thickness_mm,
            width_mm=self.tenon_width_mm,
            length_mm=self.depth_a_mm,
            clearance_mm=self.clearance_mm,
        )

    def geometry(self) -> Geometry:
        """The rail's end stands at x = 0, the tongue reaches into both parts."""
        place = self._place
        span, cheeks = (place.low, place.high), place.cheeks
        deep_b = self.depth_b_mm + self.clearance_mm
        reach = max(place.reach, deep_b + self.tenon_thickness_mm)
        half = self.b.thickness_mm / 2
        tongue = Solid.block((-self.depth_a_mm, self.depth_b_mm), span, cheeks)
        return Geometry(
            members=(
                Member.of(
                    "a", self.a_label, grain=Y, blank=place.stile_blank, cuts=(place.mortise,)
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((0, reach), (0, self.b.width_mm), (-half, half)),
                    cuts=(Solid.block((0, deep_b), span, cheeks),),
                    leaves=X,
                ),
                Member(
                    key="tongue",
                    label="loose tenon",
                    grain=X,
                    solids=(tongue,),
                    blank=(tongue,),
                    leaves=(0.5, 0.0, 0.0),
                ),
            ),
            dimensions=self._dimensions(place),
        )

    def _dimensions(self, place: TenonPlace) -> tuple[Dimension, ...]:
        low, high, near = place.low, place.high, place.cheeks
        return (
            Dimension.between(
                "tongue in the stile", (-self.depth_a_mm, high, 0), (0, high, 0), View.FRONT
            ),
            Dimension.between(
                "tongue in the rail", (0, high, 0), (self.depth_b_mm, high, 0), View.FRONT
            ),
            Dimension.between("tenon width", (0, low, 0), (0, high, 0), View.FRONT),
            Dimension.between("tenon thickness", (0, high, near[0]), (0, high, near[1]), View.TOP),
            Dimension.between("mortise depth", (-place.deep, low, 0), (0, low, 0), View.FRONT),
            *place.part_dimensions(),
        )

    def proportions(self) -> tuple[Advice, ...]:
        """Thickness, width, depth and shoulders against the usual."""
        return tenon_advice(
            self.a,
            self.b,
            thickness_mm=self.tenon_thickness_mm,
            width_mm=self.tenon_width_mm,
            length_mm=min(self.depth_a_mm, self.depth_b_mm),
        )


JOINT = LooseTenon
