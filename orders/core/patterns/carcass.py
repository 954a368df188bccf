"""Carcass with shelves: two sides, top and bottom, housed shelves, a back in rebates."""

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
    in_joint_mm,
    require_at_most,
    timber,
)

CORNERS = ("through-dovetail", "rebate", "tongued-end", "finger")
SHELF_JOINTS = ("housing", "dovetail-housing", "tongued-end")


@dataclass(frozen=True, slots=True, kw_only=True)
class Carcass(Pattern):
    """Top and bottom receive the sides; shelves stand at even heights."""

    code: ClassVar[str] = "carcass"
    label: ClassVar[str] = "Carcass with shelves"
    summary: ClassVar[str] = "Sides, top and bottom, shelves in housings, a back in rebates."
    caution: ClassVar[str] = (
        "Fix a tall carcass to the wall; what shelves carry is for licensed practice to say."
    )

    width_mm: float = asked("width", 800.0, least=200, most=2400)
    height_mm: float = asked("height", 1000.0, least=200, most=2400)
    depth_mm: float = asked("depth", 300.0, least=100, most=800)
    thickness_mm: float = asked("thickness of the boards", 18.0, least=10, most=40)
    shelves: int = asked("shelves", 3, least=0, most=12, measure=Measure.COUNT)
    back_thickness_mm: float = asked("thickness of the back", 6.0, least=3, most=15)
    corner: str = asked("joint at the corners", CORNERS[0], measure=Measure.CHOICE, choices=CORNERS)
    shelf_joint: str = asked(
        "joint of the shelves", SHELF_JOINTS[0], measure=Measure.CHOICE, choices=SHELF_JOINTS
    )
    timber: str = timber()

    @property
    def _room(self) -> float:
        return self.height_mm - 2 * self.thickness_mm

    def check(self) -> None:
        """Shelves must leave room between them, the back some of the depth."""
        most = int(self._room / (self.thickness_mm + 60))
        require_at_most(
            "shelves", self.shelves, most, f"There is room for {most} shelves at this height."
        )
        require_at_most(
            "back_thickness_mm",
            self.back_thickness_mm,
            self.thickness_mm,
            "The back is thicker than the boards that it is let into.",
        )

    def made(self) -> Made:
        """Sides, top and bottom, shelves and back."""
        draft = Draft("Carcass", self.timber)
        thick, deep = self.thickness_mm, self.depth_mm
        lid = draft.part(
            "top or bottom",
            [block(0, y, 0, self.width_mm, thick, deep) for y in (0.0, self.height_mm - thick)],
            along=Axis.X,
            flat=Axis.Y,
        )
        side = draft.part(
            "side",
            [block(x, thick, 0, thick, self._room, deep) for x in (0.0, self.width_mm - thick)],
            along=Axis.Y,
            flat=Axis.X,
            longer_mm=2 * self._in_joint(self.corner, self.width_mm, self.height_mm, deep),
        )
        draft.joint(
            self.corner,
            lid,
            side,
            count=4,
            name="corner of the carcass",
            blame="thickness_mm",
        )
        if self.shelves:
            self._shelves(draft, side)
        draft.part(
            "back",
            [block(thick, thick, 0, self.width_mm - 2 * thick, self._room, self.back_thickness_mm)],
            along=Axis.Y,
            flat=Axis.Z,
            longer_mm=2 * thick / 2,
            wider_mm=2 * thick / 2,
            note="plywood or boards; dry in its rebates, pinned",
        )
        draft.extra("plough-groove", 4)
        draft.gap(
            "room around the back",
            1.0,
            "The back slips into its rebates; a back of solid boards is left loose at its joints.",
        )
        return draft.made(self.caution)

    def _shelves(self, draft: Draft, side: str) -> None:
        thick = self.thickness_mm
        between = self.width_mm - 2 * thick
        deep = self.depth_mm - self.back_thickness_mm
        step = (self._room - self.shelves * thick) / (self.shelves + 1)
        shelf = draft.part(
            "shelf",
            [
                block(
                    thick,
                    thick + step + place * (step + thick),
                    self.back_thickness_mm,
                    between,
                    thick,
                    deep,
                )
                for place in range(self.shelves)
            ],
            along=Axis.X,
            flat=Axis.Y,
            longer_mm=2 * self._in_joint(self.shelf_joint, self.height_mm, between, deep),
        )
        draft.joint(
            self.shelf_joint,
            side,
            shelf,
            count=2 * self.shelves,
            name="shelf into side",
            blame="thickness_mm",
        )

    def _in_joint(self, type: str, a_long: float, b_long: float, b_wide: float) -> float:
        thick = self.thickness_mm
        a = Section(width_mm=self.depth_mm, thickness_mm=thick, length_mm=a_long)
        b = Section(width_mm=b_wide, thickness_mm=thick, length_mm=b_long)
        return in_joint_mm(type, a, b, blame="thickness_mm")


PATTERN = Carcass
