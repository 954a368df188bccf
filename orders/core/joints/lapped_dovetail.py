"""Lapped dovetail: the tails stop behind a lap, so that the front does not show them."""

from dataclasses import dataclass
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
from orders.core.tails import MOST_TAILS, Tails, require_corner, usual_tails
from orders.core.vectors import X, Y


@dataclass(frozen=True, slots=True, kw_only=True)
class LappedDovetail(Joint):
    """As a through dovetail, but the pin board is thicker than the tails are long."""

    code: ClassVar[str] = "lapped-dovetail"
    label: ClassVar[str] = "Lapped dovetail"
    summary: ClassVar[str] = "Tails on a side stop behind a lap of the front."
    a_label: ClassVar[str] = "front"
    b_label: ClassVar[str] = "side"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=150, thickness_mm=20, length_mm=400),
        Section(width_mm=150, thickness_mm=14, length_mm=600),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.BOX_CORNER,)

    tail_count: int = own(
        "number of tails",
        "One for every 40 mm of width.",
        source="common practice, no source",
        unit=Unit.COUNT,
        least=1,
        most=MOST_TAILS,
    )
    slope: float = own(
        "slope ratio",
        "1 in 8, as is usual for hardwood; 1 in 6 for softwood.",
        source="common practice, no source",
        unit=Unit.RATIO,
        least=1.0,
    )
    pin_width_mm: float = own(
        "narrow width of a pin",
        "Three tenths of the length of the tails.",
        source="common practice, no source",
    )
    half_pin_width_mm: float = own(
        "narrow width of a half pin",
        "As wide as a full pin.",
        source="common practice, no source",
    )
    lap_mm: float = own(
        "lap in front of the tails",
        "A quarter of the front's thickness.",
        source="furniture text, second-hand: 3/16 in a 3/4 in front",
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """Slim pins, and a lap of a quarter of the front."""
        lap = float(given.get("lap_mm", a.thickness_mm / 4))
        length = a.thickness_mm - lap if lap < a.thickness_mm else a.thickness_mm
        return {**usual_tails(b.width_mm, length, given), "lap_mm": lap}

    @property
    def row(self) -> Tails:
        """The row of tails and pins."""
        return Tails(
            count=self.tail_count,
            slope=self.slope,
            pin_width_mm=self.pin_width_mm,
            half_pin_width_mm=self.half_pin_width_mm,
            length_mm=self.a.thickness_mm - self.lap_mm,
            thickness_mm=self.b.thickness_mm,
            board_width_mm=self.b.width_mm,
        )

    def check(self) -> None:
        """The boards are of one width, the lap leaves room for tails, every tail keeps a neck."""
        require_corner(self.a, self.b)
        if self.lap_mm >= self.a.thickness_mm - 1e-9:
            require_at_most(
                "lap_mm",
                self.lap_mm,
                self.a.thickness_mm / 4,
                "The lap leaves no room for tails; a quarter of the front is usual.",
            )
        self.row.require_necks()

    def geometry(self) -> Geometry:
        """Tails fill the sockets between the pins; the corner's outer face is y = thickness of b."""
        reach = visible_length(self)
        row = self.row
        deep, thick, wide = self.a.thickness_mm, self.b.thickness_mm, self.b.width_mm
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block((-deep, 0), (-reach, thick), (0, wide)),
                    keeps=(
                        Solid.block((-deep, 0), (-reach, 0), (0, wide)),
                        Solid.block((-deep, -row.length_mm), (0, thick), (0, wide)),
                        *row.pins(),
                    ),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((-row.length_mm, reach), (0, thick), (0, wide)),
                    keeps=(Solid.block((0, reach), (0, thick), (0, wide)), *row.tails()),
                    leaves=Y,
                ),
            ),
            dimensions=(
                *row.dimensions(),
                Dimension.between("lap", (-deep, thick, 0), (-row.length_mm, thick, 0), View.TOP),
                Dimension.between("board width", (reach, thick, 0), (reach, thick, wide), View.TOP),
                Dimension.between(
                    "front thickness", (-deep, -reach, wide), (0, -reach, wide), View.FRONT
                ),
                Dimension.between(
                    "side thickness", (reach, 0, wide), (reach, thick, wide), View.FRONT
                ),
            ),
        )

    def proportions(self) -> tuple[Advice, ...]:
        """Slope and pins against the usual."""
        return self.row.advice()


JOINT = LappedDovetail
