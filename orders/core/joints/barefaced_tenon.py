"""Bare-faced tenon: a shoulder on one face only, for a rail thinner than its stile."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.joint import (
    Advice,
    Arrangement,
    Given,
    Joint,
    Section,
    nearest_tool,
    own,
    require_at_most,
    visible_length,
)
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.tenons import (
    require_tenon,
    tenon_advice,
    usual_clearance,
    usual_length,
)
from orders.core.vectors import X, Y


@dataclass(frozen=True, slots=True, kw_only=True)
class BarefacedTenon(Joint):
    """The tenon is flush with the back of the rail, and the mortise stays in mid-stile."""

    code: ClassVar[str] = "barefaced-tenon"
    label: ClassVar[str] = "Bare-faced tenon"
    summary: ClassVar[str] = "A tenon with a shoulder on one face only, for a thin rail."
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=48, thickness_mm=30, length_mm=900),
        Section(width_mm=60, thickness_mm=16, length_mm=500),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.TEE, Arrangement.CORNER)

    tenon_thickness_mm: float = own(
        "tenon thickness",
        "A third of the stile's thickness, to the nearest chisel or cutter.",
        source="Noyes, Handwork in Wood (1910), chapter VII no. 42 and 44",
    )
    tenon_width_mm: float = own(
        "tenon width",
        "Two thirds of the rail's width, but no more than six times the tenon's thickness.",
        source="common practice, no source",
    )
    tenon_length_mm: float = own(
        "tenon length",
        "Two thirds of the stile's width; the full width makes a through tenon.",
        source="common practice, no source",
    )
    clearance_mm: float = own(
        "clearance below the tenon",
        "2 mm of room for glue at the bottom of a stopped mortise, none in a through one.",
        source="common practice, no source",
        least=0.0,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """As for a common tenon."""
        thickness = float(given.get("tenon_thickness_mm", _usual(a, b)))
        length = float(given.get("tenon_length_mm", usual_length(a, b)))
        return {
            "tenon_thickness_mm": thickness,
            "tenon_width_mm": min(b.width_mm * 2 / 3, 6 * thickness),
            "tenon_length_mm": length,
            "clearance_mm": usual_clearance(a, length),
        }

    def check(self) -> None:
        """The tenon must fit both parts, and a stopped mortise must stay closed."""
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

    def geometry(self) -> Geometry:
        """The back of the rail is flush with the back of the tenon."""
        reach = visible_length(self)
        stile, rail = self.a, self.b
        half_t, half_a = self.tenon_thickness_mm / 2, stile.thickness_mm / 2
        low = (rail.width_mm - self.tenon_width_mm) / 2
        high = low + self.tenon_width_mm
        deep = self.tenon_length_mm + self.clearance_mm
        thick = (-half_t, rail.thickness_mm - half_t)
        top = rail.width_mm
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block(
                        (-stile.width_mm, 0), (-reach, top + reach), (-half_a, half_a)
                    ),
                    cuts=(Solid.block((-deep, 0), (low, high), (-half_t, half_t)),),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((-self.tenon_length_mm, reach), (0, top), thick),
                    keeps=(
                        Solid.block((0, reach), (0, top), thick),
                        Solid.block((-self.tenon_length_mm, 0), (low, high), (-half_t, half_t)),
                    ),
                    leaves=X,
                ),
            ),
            dimensions=(
                Dimension.between(
                    "tenon length", (-self.tenon_length_mm, high, 0), (0, high, 0), View.FRONT
                ),
                Dimension.between("tenon width", (0, low, 0), (0, high, 0), View.FRONT),
                Dimension.between(
                    "tenon thickness", (0, high, -half_t), (0, high, half_t), View.TOP
                ),
                Dimension.between("mortise depth", (-deep, low, 0), (0, low, 0), View.FRONT),
                Dimension.between(
                    "rail thickness", (reach, top, thick[0]), (reach, top, thick[1]), View.TOP
                ),
                Dimension.between("rail width", (reach, 0, 0), (reach, top, 0), View.FRONT),
            ),
        )

    def proportions(self) -> tuple[Advice, ...]:
        """Thickness, width and depth against the usual; the one shoulder is wide enough."""
        advice = tenon_advice(
            self.a,
            self.b,
            thickness_mm=self.tenon_thickness_mm,
            width_mm=self.tenon_width_mm,
            length_mm=self.tenon_length_mm,
        )
        return tuple(one for one in advice if "face shoulders" not in one.text)


def _usual(a: Section, b: Section) -> float:
    """A third of the stile to the nearest tool: with one shoulder it may take most of the rail."""
    tool = nearest_tool(a.thickness_mm / 3)
    return tool if tool < b.thickness_mm else b.thickness_mm * 2 / 3


JOINT = BarefacedTenon
