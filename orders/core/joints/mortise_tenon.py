"""Mortise and tenon: a single tenon on the rail, stopped in the stile or right through it."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.joint import (
    Advice,
    Given,
    Joint,
    Section,
    nearest_tool,
    own,
    require_at_most,
    visible_length,
)
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import X, Y


@dataclass(frozen=True, slots=True, kw_only=True)
class MortiseTenon(Joint):
    """A tenon in the middle of the rail, with shoulders all round."""

    code: ClassVar[str] = "mortise-tenon"
    label: ClassVar[str] = "Mortise and tenon"
    summary: ClassVar[str] = "A tenon on the rail in a mortise of the stile, stopped or through."
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=48, thickness_mm=24, length_mm=900),
        Section(width_mm=60, thickness_mm=24, length_mm=500),
    )

    tenon_thickness_mm: float = own(
        "tenon thickness",
        "A third of the stile's thickness, to the nearest chisel or cutter.",
        source="Noyes, Handwork in Wood (1910), chapter VII no. 42",
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
        """A third thick, two thirds wide, two thirds deep."""
        thin = min(a.thickness_mm, b.thickness_mm)
        thickness = float(given.get("tenon_thickness_mm", nearest_tool(a.thickness_mm / 3)))
        if thickness > thin:
            thickness = thin / 3
        length = float(given.get("tenon_length_mm", min(a.width_mm * 2 / 3, b.length_mm / 3)))
        return {
            "tenon_thickness_mm": thickness,
            "tenon_width_mm": min(b.width_mm * 2 / 3, 6 * thickness),
            "tenon_length_mm": length,
            "clearance_mm": max(0.0, min(2.0, a.width_mm - length)),
        }

    @property
    def is_through(self) -> bool:
        """Whether the tenon shows on the far side of the stile."""
        return self.tenon_length_mm >= self.a.width_mm - 1e-9

    def check(self) -> None:
        """The tenon must fit both parts, and a stopped mortise must stay closed."""
        require_at_most(
            "tenon_thickness_mm",
            self.tenon_thickness_mm,
            min(self.a.thickness_mm, self.b.thickness_mm),
            "The tenon cannot be thicker than the thinner of the two parts.",
        )
        require_at_most(
            "tenon_width_mm",
            self.tenon_width_mm,
            self.b.width_mm,
            "The tenon cannot be wider than the rail.",
        )
        require_at_most(
            "tenon_length_mm",
            self.tenon_length_mm,
            self.a.width_mm,
            "The tenon is longer than the stile is wide; shorten it.",
        )
        require_at_most(
            "tenon_length_mm",
            self.tenon_length_mm,
            self.b.length_mm,
            "The tenon is longer than the whole rail; shorten it.",
        )
        require_at_most(
            "clearance_mm",
            self.clearance_mm,
            self.a.width_mm - self.tenon_length_mm,
            "The mortise would break through the stile; reduce the clearance or the tenon length.",
        )

    def geometry(self) -> Geometry:
        """The rail's shoulder stands at x = 0, its tenon points to -x."""
        reach = visible_length(self)
        stile, rail = self.a, self.b
        half_t = self.tenon_thickness_mm / 2
        low = (rail.width_mm - self.tenon_width_mm) / 2
        high = low + self.tenon_width_mm
        deep = self.tenon_length_mm + self.clearance_mm
        half_a, half_b = stile.thickness_mm / 2, rail.thickness_mm / 2
        tenon = Solid.block((-self.tenon_length_mm, 0), (low, high), (-half_t, half_t))
        body = Solid.block((0, reach), (0, rail.width_mm), (-half_b, half_b))
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block(
                        (-stile.width_mm, 0), (-reach, rail.width_mm + reach), (-half_a, half_a)
                    ),
                    cuts=(Solid.block((-deep, 0), (low, high), (-half_t, half_t)),),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block(
                        (-self.tenon_length_mm, reach), (0, rail.width_mm), (-half_b, half_b)
                    ),
                    keeps=(body, tenon),
                    leaves=X,
                ),
            ),
            dimensions=(
                Dimension.between(
                    "tenon length",
                    (-self.tenon_length_mm, high, 0),
                    (0, high, 0),
                    View.FRONT,
                ),
                Dimension.between("tenon width", (0, low, 0), (0, high, 0), View.FRONT),
                Dimension.between(
                    "tenon thickness", (0, high, -half_t), (0, high, half_t), View.TOP
                ),
                Dimension.between("mortise depth", (-deep, low, 0), (0, low, 0), View.FRONT),
                Dimension.between("shoulder", (0, high, 0), (0, rail.width_mm, 0), View.FRONT),
                Dimension.between(
                    "stile width", (-stile.width_mm, -reach, 0), (0, -reach, 0), View.FRONT
                ),
                Dimension.between(
                    "rail width", (reach, 0, 0), (reach, rail.width_mm, 0), View.FRONT
                ),
                Dimension.between(
                    "stile thickness",
                    (-stile.width_mm, 0, -half_a),
                    (-stile.width_mm, 0, half_a),
                    View.TOP,
                ),
            ),
        )

    def proportions(self) -> tuple[Advice, ...]:
        """Thickness, width and depth against the usual."""
        advice = []
        if self.tenon_thickness_mm > self.a.thickness_mm / 3 * 1.15:
            advice.append(
                Advice(
                    text="The tenon is thicker than a third of the stile.",
                    reason="Thick tenons leave thin mortise cheeks that split.",
                    source="Noyes, Handwork in Wood (1910), chapter VII no. 42",
                )
            )
        if self.tenon_width_mm > 6 * self.tenon_thickness_mm + 1e-9:
            advice.append(
                Advice(
                    text="The tenon is wider than six times its thickness; make two.",
                    reason="A long mortise weakens the stile and a wide tenon moves across it.",
                    source="common practice, no source",
                )
            )
        if not self.is_through and self.tenon_length_mm < 3 * self.tenon_thickness_mm:
            advice.append(
                Advice(
                    text="The mortise is shallower than three times its width.",
                    reason="A short tenon has little cheek to glue and works loose.",
                    source="common practice, no source",
                )
            )
        if (self.b.thickness_mm - self.tenon_thickness_mm) / 2 < 3:
            advice.append(
                Advice(
                    text="The face shoulders are under 3 mm.",
                    reason="A narrow shoulder does not hide the mortise or steady the rail.",
                    source="common practice, no source",
                )
            )
        return tuple(advice)


JOINT = MortiseTenon
