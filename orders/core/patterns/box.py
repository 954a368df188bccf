"""Box: four boards joined at the corners, a bottom in grooves and a loose lid."""

from dataclasses import dataclass
from typing import ClassVar

from orders.core.joint import Section
from orders.core.pattern import (
    Axis,
    Draft,
    Made,
    Measure,
    Pattern,
    asked,
    block,
    clearance_mm,
    in_joint_mm,
    require_at_most,
    timber,
)

CORNERS = ("through-dovetail", "finger", "rebate", "butt")
GROOVE_MM = 4.0
BOTTOM_UP_MM = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Box(Pattern):
    """The long sides receive the ends; the bottom is dry in its grooves."""

    code: ClassVar[str] = "box"
    label: ClassVar[str] = "Box"
    summary: ClassVar[str] = "Four boards, a bottom in grooves and a loose lid."

    length_mm: float = asked("length", 320.0, least=80, most=1500)
    width_mm: float = asked("width", 220.0, least=80, most=800)
    height_mm: float = asked("height of the sides", 120.0, least=30, most=600)
    thickness_mm: float = asked("thickness of the sides", 12.0, least=6, most=30)
    bottom_mm: float = asked("thickness of the bottom", 6.0, least=3, most=15)
    lid_mm: float = asked("thickness of the lid, 0 for none", 10.0, least=0, most=30)
    corner: str = asked("joint at the corners", CORNERS[0], measure=Measure.CHOICE, choices=CORNERS)
    moisture_made_percent: float = asked(
        "moisture when made", 8.0, least=4, most=20, measure=Measure.PERCENT
    )
    moisture_most_percent: float = asked(
        "moisture at its wettest", 13.0, least=4, most=25, measure=Measure.PERCENT
    )
    timber: str = timber()

    def check(self) -> None:
        """Something must be left inside."""
        require_at_most(
            "thickness_mm",
            self.thickness_mm,
            min(self.length_mm, self.width_mm) / 4,
            "The sides are too thick for so small a box.",
        )

    def made(self) -> Made:
        """Sides, ends, bottom and lid."""
        draft = Draft("Box", self.timber)
        thick, tall = self.thickness_mm, self.height_mm
        inner_x, inner_z = self.length_mm - 2 * thick, self.width_mm - 2 * thick
        groove = f"groove {self.bottom_mm:g} x {GROOVE_MM:g}, {BOTTOM_UP_MM:g} from the lower edge"
        side = draft.part(
            "side",
            [block(0, 0, z, self.length_mm, tall, thick) for z in (0.0, self.width_mm - thick)],
            along=Axis.X,
            flat=Axis.Z,
            note=groove,
        )
        end = draft.part(
            "end",
            [block(x, 0, thick, thick, tall, inner_z) for x in (0.0, self.length_mm - thick)],
            along=Axis.Z,
            flat=Axis.X,
            longer_mm=2 * self._in_corner(),
            note=groove,
        )
        draft.joint(self.corner, side, end, count=4, name="corner of the box", blame="thickness_mm")
        gap = clearance_mm(
            inner_z, self.timber, self.moisture_made_percent, self.moisture_most_percent
        )
        draft.part(
            "bottom",
            [block(thick, BOTTOM_UP_MM, thick, inner_x, self.bottom_mm, inner_z)],
            along=Axis.X,
            flat=Axis.Y,
            longer_mm=2 * (GROOVE_MM - 1),
            wider_mm=2 * max(0.5, GROOVE_MM - gap),
            note="dry in its grooves",
        )
        draft.gap(
            "room for the bottom in each groove", gap, "The bottom swells; it is never glued."
        )
        if self.lid_mm:
            draft.part(
                "lid",
                [block(0, tall, 0, self.length_mm, self.lid_mm, self.width_mm)],
                along=Axis.X,
                flat=Axis.Y,
            )
        draft.extra("plough-groove", 4)
        return draft.made()

    def _in_corner(self) -> float:
        def board(length: float) -> Section:
            return Section(
                width_mm=self.height_mm, thickness_mm=self.thickness_mm, length_mm=length
            )

        return in_joint_mm(
            self.corner, board(self.length_mm), board(self.width_mm), blame="thickness_mm"
        )


PATTERN = Box
