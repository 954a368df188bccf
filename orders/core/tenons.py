"""What every tenon has in common: its fields, its usual sizes, what it cannot do, what is unwise."""

from dataclasses import dataclass
from typing import Any

from orders.core.joint import (
    Advice,
    Joint,
    Section,
    nearest_tool,
    own,
    require_at_most,
    visible_length,
)
from orders.core.solids import Dimension, Solid, View

NOYES_42 = "Noyes, Handwork in Wood (1910), chapter VII no. 42"


def thickness_field() -> Any:
    """The field of a tenon's thickness."""
    return own(
        "tenon thickness",
        "A third of the stile's thickness, to the nearest chisel or cutter.",
        source=NOYES_42,
    )


def width_field() -> Any:
    """The field of a tenon's width."""
    return own(
        "tenon width",
        "Two thirds of the rail's width, but no more than six times the tenon's thickness.",
        source="common practice, no source",
    )


def tenon_length_field() -> Any:
    """The field of a tenon's length."""
    return own(
        "tenon length",
        "Two thirds of the stile's width; the full width makes a through tenon.",
        source="common practice, no source",
    )


def clearance_field() -> Any:
    """The field of the room below a tenon."""
    return own(
        "clearance below the tenon",
        "2 mm of room for glue at the bottom of a stopped mortise, none in a through one.",
        source="common practice, no source",
        least=0.0,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class TenonPlace:
    """A tenon in place: the rail's shoulder stands at x = 0, the tenon points to -x.

    `low` and `high` are its edges along the stile, both parts are centred on z = 0.
    """

    stile: Section
    rail: Section
    thickness_mm: float
    length_mm: float
    clearance_mm: float
    low: float
    high: float
    reach: float

    @classmethod
    def amid(
        cls,
        joint: Joint,
        *,
        thickness_mm: float,
        width_mm: float,
        length_mm: float,
        clearance_mm: float = 0.0,
    ) -> "TenonPlace":
        """A tenon in the middle of the rail's width."""
        low = (joint.b.width_mm - width_mm) / 2
        return cls(
            stile=joint.a,
            rail=joint.b,
            thickness_mm=thickness_mm,
            length_mm=length_mm,
            clearance_mm=clearance_mm,
            low=low,
            high=low + width_mm,
            reach=visible_length(joint),
        )

    @property
    def cheeks(self) -> tuple[float, float]:
        """The tenon's two faces along z."""
        return -self.thickness_mm / 2, self.thickness_mm / 2

    @property
    def deep(self) -> float:
        """The depth of the mortise."""
        return self.length_mm + self.clearance_mm

    @property
    def stile_blank(self) -> Solid:
        """The stile, running on at both ends."""
        half = self.stile.thickness_mm / 2
        return Solid.block(
            (-self.stile.width_mm, 0),
            (-self.reach, self.rail.width_mm + self.reach),
            (-half, half),
        )

    @property
    def rail_blank(self) -> Solid:
        """The rail with what its tenon is cut from."""
        half = self.rail.thickness_mm / 2
        return Solid.block((-self.length_mm, self.reach), (0, self.rail.width_mm), (-half, half))

    @property
    def rail_body(self) -> Solid:
        """The rail up to its shoulder."""
        half = self.rail.thickness_mm / 2
        return Solid.block((0, self.reach), (0, self.rail.width_mm), (-half, half))

    @property
    def tenon(self) -> Solid:
        """The tenon."""
        return Solid.block((-self.length_mm, 0), (self.low, self.high), self.cheeks)

    @property
    def mortise(self) -> Solid:
        """The mortise."""
        return Solid.block((-self.deep, 0), (self.low, self.high), self.cheeks)

    def part_dimensions(self) -> tuple[Dimension, ...]:
        """Widths of stile and rail, and the stile's thickness."""
        half, wide = self.stile.thickness_mm / 2, self.rail.width_mm
        left = -self.stile.width_mm
        return (
            Dimension.between(
                "stile width", (left, -self.reach, 0), (0, -self.reach, 0), View.FRONT
            ),
            Dimension.between("rail width", (self.reach, 0, 0), (self.reach, wide, 0), View.FRONT),
            Dimension.between("stile thickness", (left, 0, -half), (left, 0, half), View.TOP),
        )

    def dimensions(self) -> tuple[Dimension, ...]:
        """The tenon's sizes, the depth of its mortise, its shoulder, and the parts."""
        low, high, near = self.low, self.high, self.cheeks
        top = self.rail.width_mm
        found = (
            Dimension.between("tenon length", (-self.length_mm, high, 0), (0, high, 0), View.FRONT),
            Dimension.between("tenon width", (0, low, 0), (0, high, 0), View.FRONT),
            Dimension.between("tenon thickness", (0, high, near[0]), (0, high, near[1]), View.TOP),
            Dimension.between("mortise depth", (-self.deep, low, 0), (0, low, 0), View.FRONT),
            Dimension.between("shoulder", (0, high, 0), (0, top, 0), View.FRONT),
            *self.part_dimensions(),
        )
        return tuple(one for one in found if one.value_mm > 0)


def usual_thickness(a: Section, b: Section) -> float:
    """A third of the stile to the nearest tool, but no more than half of a thinner rail.

    Source: Noyes, Handwork in Wood (1910), chapter VII no. 42; the half is common practice, no
    source.
    """
    usual = min(a.thickness_mm / 3, b.thickness_mm / 2)
    tool = nearest_tool(usual)
    return tool if tool < b.thickness_mm * 2 / 3 else usual


def usual_length(a: Section, b: Section) -> float:
    """Two thirds of the stile's width. Source: common practice, no source."""
    return min(a.width_mm * 2 / 3, b.length_mm / 3)


def usual_clearance(a: Section, length_mm: float) -> float:
    """2 mm below a stopped tenon, none below a through one.

    Source: common practice, no source.
    """
    return max(0.0, min(2.0, a.width_mm - length_mm))


def require_tenon(
    a: Section,
    b: Section,
    *,
    thickness_mm: float,
    length_mm: float,
    clearance_mm: float,
    length_field: str = "tenon_length_mm",
) -> None:
    """Raise RuleBroken where a tenon fits neither the stile nor the rail."""
    require_at_most(
        "tenon_thickness_mm",
        thickness_mm,
        min(a.thickness_mm, b.thickness_mm),
        "The tenon cannot be thicker than the thinner of the two parts.",
    )
    require_at_most(
        length_field,
        length_mm,
        a.width_mm,
        "The tenon is longer than the stile is wide; shorten it.",
    )
    require_at_most(
        length_field,
        length_mm,
        b.length_mm,
        "The tenon is longer than the whole rail; shorten it.",
    )
    require_at_most(
        "clearance_mm",
        clearance_mm,
        a.width_mm - length_mm,
        "The mortise would break through the stile; reduce the clearance or the tenon length.",
    )


def tenon_advice(
    a: Section, b: Section, *, thickness_mm: float, width_mm: float, length_mm: float
) -> tuple[Advice, ...]:
    """Thickness, width, depth and shoulders against the usual."""
    advice = []
    if thickness_mm > a.thickness_mm / 3 * 1.15:
        advice.append(
            Advice(
                text="The tenon is thicker than a third of the stile.",
                reason="Thick tenons leave thin mortise cheeks that split.",
                source="Noyes, Handwork in Wood (1910), chapter VII no. 42",
            )
        )
    if width_mm > 6 * thickness_mm + 1e-9:
        advice.append(
            Advice(
                text="The tenon is wider than six times its thickness; make two.",
                reason="A long mortise weakens the stile and a wide tenon moves across it.",
                source="furniture school's rule sheet, second-hand; Rivington says five times",
            )
        )
    if length_mm < a.width_mm - 1e-9 and length_mm < 3 * thickness_mm:
        advice.append(
            Advice(
                text="The mortise is shallower than three times its width.",
                reason="A short tenon has little cheek to glue and works loose.",
                source="common practice, no source",
            )
        )
    if (b.thickness_mm - thickness_mm) / 2 < 3:
        advice.append(
            Advice(
                text="The face shoulders are under 3 mm.",
                reason="A narrow shoulder does not hide the mortise or steady the rail.",
                source="common practice, no source",
            )
        )
    return tuple(advice)
