"""Haunched mortise and tenon: a corner tenon cut back at the stile's end, haunched there."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any, ClassVar

from orders.core.joint import (
    Advice,
    Arrangement,
    Given,
    Joint,
    Section,
    Unit,
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
    usual_thickness,
)
from orders.core.vectors import X, Y


class Haunch(StrEnum):
    """A square haunch shows at the stile's end, a sloping one runs out there and does not."""

    SQUARE = "square"
    SLOPING = "sloping"


@dataclass(frozen=True, slots=True, kw_only=True)
class HaunchedMortiseTenon(Joint):
    """The haunch fills a groove that is open at the end of the stile."""

    code: ClassVar[str] = "haunched-mortise-tenon"
    label: ClassVar[str] = "Haunched mortise and tenon"
    summary: ClassVar[str] = "A corner tenon with a short haunch that keeps the rail from twisting."
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=48, thickness_mm=24, length_mm=900),
        Section(width_mm=60, thickness_mm=24, length_mm=500),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.CORNER,)

    tenon_thickness_mm: float = own(
        "tenon thickness",
        "A third of the stile's thickness, to the nearest chisel or cutter.",
        source="Noyes, Handwork in Wood (1910), chapter VII no. 42",
    )
    tenon_width_mm: float = own(
        "tenon width",
        "Half the rail's width, but no more than six times the tenon's thickness.",
        source="Noyes, Handwork in Wood (1910), chapter VII no. 42",
    )
    tenon_length_mm: float = own(
        "tenon length",
        "Two thirds of the stile's width; the full width makes a through tenon.",
        source="common practice, no source",
    )
    haunch_width_mm: float = own(
        "haunch width",
        "A third of the rail's width.",
        source="common practice, no source",
    )
    haunch_length_mm: float = own(
        "haunch length",
        "As long as the tenon is thick.",
        source="common practice, no source",
    )
    haunch: str = own(
        "shape of the haunch",
        "Square to fill a groove; sloping where it must not show at the stile's end.",
        source="Noyes, Handwork in Wood (1910), chapter VII no. 42 and 43",
        unit=Unit.CHOICE,
        choices=Haunch,
    )
    clearance_mm: float = own(
        "clearance below the tenon",
        "2 mm of room for glue at the bottom of a stopped mortise, none in a through one.",
        source="common practice, no source",
        least=0.0,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """Half the rail for the tenon, a third for the haunch, the rest for the shoulder."""
        thickness = float(given.get("tenon_thickness_mm", usual_thickness(a, b)))
        length = float(given.get("tenon_length_mm", usual_length(a, b)))
        width = float(given.get("tenon_width_mm", min(b.width_mm / 2, 6 * thickness)))
        return {
            "tenon_thickness_mm": thickness,
            "tenon_width_mm": width,
            "tenon_length_mm": length,
            "haunch_width_mm": min(b.width_mm / 3, max(b.width_mm - width, 0.1)),
            "haunch_length_mm": min(thickness, length / 2),
            "haunch": Haunch.SQUARE.value,
            "clearance_mm": usual_clearance(a, length),
        }

    def check(self) -> None:
        """Tenon and haunch must fit the rail, and the haunch must be the shorter."""
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
            self.b.width_mm - self.haunch_width_mm,
            "Tenon and haunch together are wider than the rail; narrow the tenon.",
        )
        if self.haunch_length_mm >= self.tenon_length_mm - 1e-9:
            require_at_most(
                "haunch_length_mm",
                self.haunch_length_mm,
                self.tenon_length_mm / 2,
                "The haunch must be shorter than the tenon.",
            )

    def geometry(self) -> Geometry:
        """The stile ends at the rail's upper edge; the haunch lies between tenon and that end."""
        reach = visible_length(self)
        stile, rail = self.a, self.b
        cheek = (-self.tenon_thickness_mm / 2, self.tenon_thickness_mm / 2)
        top = rail.width_mm
        roof = top - self.haunch_width_mm
        low = roof - self.tenon_width_mm
        deep = self.tenon_length_mm + self.clearance_mm
        half_a, half_b = stile.thickness_mm / 2, rail.thickness_mm / 2
        haunch = self._haunch(roof, top)
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block((-stile.width_mm, 0), (-reach, top), (-half_a, half_a)),
                    cuts=(Solid.block((-deep, 0), (low, roof), cheek), haunch),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((-self.tenon_length_mm, reach), (0, top), (-half_b, half_b)),
                    keeps=(
                        Solid.block((0, reach), (0, top), (-half_b, half_b)),
                        Solid.block((-self.tenon_length_mm, 0), (low, roof), cheek),
                        haunch,
                    ),
                    leaves=X,
                ),
            ),
            dimensions=(
                Dimension.between(
                    "tenon length", (-self.tenon_length_mm, low, 0), (0, low, 0), View.FRONT
                ),
                Dimension.between("tenon width", (0, low, 0), (0, roof, 0), View.FRONT),
                Dimension.between(
                    "haunch length", (-self.haunch_length_mm, roof, 0), (0, roof, 0), View.FRONT
                ),
                Dimension.between("haunch width", (0, roof, 0), (0, top, 0), View.FRONT),
                Dimension.between(
                    "tenon thickness", (0, top, cheek[0]), (0, top, cheek[1]), View.TOP
                ),
                Dimension.between("mortise depth", (-deep, roof, 0), (0, roof, 0), View.FRONT),
                Dimension.between(
                    "stile width", (-stile.width_mm, -reach, 0), (0, -reach, 0), View.FRONT
                ),
                Dimension.between("rail width", (reach, 0, 0), (reach, top, 0), View.FRONT),
                Dimension.between(
                    "stile thickness",
                    (-stile.width_mm, top, -half_a),
                    (-stile.width_mm, top, half_a),
                    View.TOP,
                ),
            ),
        )

    def _haunch(self, roof: float, top: float) -> Solid:
        """The haunch, from the tenon's edge to the stile's end."""
        back, half = -self.haunch_length_mm, self.tenon_thickness_mm / 2
        outline = [(0.0, roof, -half), (back, roof, -half), (0.0, top, -half)]
        if self.haunch == Haunch.SQUARE:
            outline.insert(2, (back, top, -half))
        return Solid.prism(tuple(outline), (0.0, 0.0, self.tenon_thickness_mm))

    def proportions(self) -> tuple[Advice, ...]:
        """Thickness and width against the usual, and a haunch that is too short to steady."""
        advice = list(
            tenon_advice(
                self.a,
                self.b,
                thickness_mm=self.tenon_thickness_mm,
                width_mm=self.tenon_width_mm,
                length_mm=self.tenon_length_mm,
            )
        )
        if self.haunch_width_mm < self.b.width_mm / 5:
            advice.append(
                Advice(
                    text="The haunch is under a fifth of the rail's width.",
                    reason="Too little wood stays at the stile's end, and it may shear out.",
                    source="common practice, no source",
                )
            )
        return tuple(advice)


JOINT = HaunchedMortiseTenon
