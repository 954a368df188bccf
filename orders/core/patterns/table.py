"""Table: four legs, aprons and a top of glued boards, with drawers in the front if wanted."""

from dataclasses import dataclass
from typing import ClassVar

from orders.core.drawer_box import drawer_box
from orders.core.errors import RuleBroken
from orders.core.movement import movement_mm
from orders.core.pattern import (
    Axis,
    Draft,
    Made,
    Measure,
    Pattern,
    asked,
    block,
    require_at_most,
    tenon_in_post,
    timber,
)
from orders.core.species import species

LEAST_OPENING_MM = 40.0
LEAST_APRON_MM = 100.0
SIDE_ROOM_MM, TOP_ROOM_MM = 1.0, 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Table(Pattern):
    """The aprons are tenoned into the legs; the top is held by buttons so that it can move."""

    code: ClassVar[str] = "table"
    label: ClassVar[str] = "Table"
    summary: ClassVar[str] = "Legs, aprons and a top of glued boards; drawers if wanted."

    length_mm: float = asked("length of the top", 1400.0, least=400, most=4000)
    width_mm: float = asked("width of the top", 750.0, least=300, most=2000)
    height_mm: float = asked("height", 740.0, least=250, most=1200)
    top_thickness_mm: float = asked("thickness of the top", 25.0, least=12, most=60)
    top_boards: int = asked("boards in the top", 6, least=2, most=30, measure=Measure.COUNT)
    overhang_mm: float = asked("overhang of the top", 40.0, least=0, most=400)
    leg_mm: float = asked("thickness of the legs", 60.0, least=30, most=150)
    apron_width_mm: float = asked("width of the aprons", 100.0, least=40, most=250)
    apron_thickness_mm: float = asked("thickness of the aprons", 22.0, least=15, most=50)
    drawers: int = asked("drawers in the front", 0, least=0, most=4, measure=Measure.COUNT)
    moisture_made_percent: float = asked(
        "moisture when made", 8.0, least=4, most=20, measure=Measure.PERCENT
    )
    moisture_most_percent: float = asked(
        "moisture at its wettest", 13.0, least=4, most=25, measure=Measure.PERCENT
    )
    timber: str = timber()

    @property
    def _between_x(self) -> float:
        return self.length_mm - 2 * self.overhang_mm - 2 * self.leg_mm

    @property
    def _between_z(self) -> float:
        return self.width_mm - 2 * self.overhang_mm - 2 * self.leg_mm

    @property
    def _opening(self) -> float:
        return self.apron_width_mm - 2 * self.apron_thickness_mm

    def check(self) -> None:
        """Legs must stand under the top, aprons above the floor, drawers between their rails."""
        short = min(self.length_mm, self.width_mm)
        require_at_most(
            "leg_mm",
            self.leg_mm,
            short / 2 - LEAST_APRON_MM / 2,
            "The legs are too thick for so small a top.",
        )
        require_at_most(
            "overhang_mm",
            self.overhang_mm,
            short / 2 - LEAST_APRON_MM / 2 - self.leg_mm,
            "The legs would meet under the top; reduce the overhang.",
        )
        require_at_most(
            "apron_thickness_mm",
            self.apron_thickness_mm,
            self.leg_mm * 0.8,
            "The aprons are about as thick as the legs; make them thinner.",
        )
        require_at_most(
            "apron_width_mm",
            self.apron_width_mm,
            self.height_mm - self.top_thickness_mm - 60,
            "The aprons reach down to the floor; make them narrower.",
        )
        if self.drawers and self._opening < LEAST_OPENING_MM:
            raise RuleBroken(
                "apron_width_mm",
                "There is no room for a drawer between its rails; widen the aprons.",
                nearest=2 * self.apron_thickness_mm + LEAST_OPENING_MM,
            )

    def made(self) -> Made:
        """Legs, aprons or drawer rails, top and drawers."""
        draft = Draft("Table", self.timber)
        leg = self._legs(draft)
        self._aprons(draft, leg)
        self._top(draft)
        if self.drawers:
            self._drawers(draft, leg)
        return draft.made()

    def _legs(self, draft: Draft) -> str:
        near, tall = self.overhang_mm, self.height_mm - self.top_thickness_mm
        far_x, far_z = near + self.leg_mm + self._between_x, near + self.leg_mm + self._between_z
        return draft.part(
            "leg",
            [
                block(x, 0, z, self.leg_mm, tall, self.leg_mm)
                for x in (near, far_x)
                for z in (near, far_z)
            ],
            along=Axis.Y,
            flat=Axis.X,
        )

    def _aprons(self, draft: Draft, leg: str) -> None:
        near = self.overhang_mm
        thick, wide = self.apron_thickness_mm, self.apron_width_mm
        foot = self.height_mm - self.top_thickness_mm - wide
        inset = near + (self.leg_mm - thick) / 2
        back = inset
        front = near + self.leg_mm + self._between_z + (self.leg_mm - thick) / 2
        right = near + self.leg_mm + self._between_x + (self.leg_mm - thick) / 2
        tenon = tenon_in_post(self.leg_mm, thick)
        longer = 2 * tenon["tenon_length_mm"]
        start = near + self.leg_mm
        deep = [back] if self.drawers else [back, front]
        long = draft.part(
            "back apron" if self.drawers else "long apron",
            [block(start, foot, z, self._between_x, wide, thick) for z in deep],
            along=Axis.X,
            flat=Axis.Z,
            longer_mm=longer,
        )
        short = draft.part(
            "short apron",
            [block(x, foot, start, thick, wide, self._between_z) for x in (inset, right)],
            along=Axis.Z,
            flat=Axis.X,
            longer_mm=longer,
        )
        for mark, count, name in (
            (long, 2 * len(deep), "long apron into leg"),
            (short, 4, "short apron into leg"),
        ):
            draft.joint(
                "haunched-mortise-tenon",
                leg,
                mark,
                count=count,
                name=name,
                blame="apron_width_mm",
                given=tenon,
            )

    def _top(self, draft: Draft) -> None:
        board = self.width_mm / self.top_boards
        foot = self.height_mm - self.top_thickness_mm
        strips = [
            block(0, foot, place * board, self.length_mm, self.top_thickness_mm, board)
            for place in range(self.top_boards)
        ]
        first = draft.part("first top board", strips[:1], along=Axis.X, flat=Axis.Y)
        rest = draft.part("top board", strips[1:], along=Axis.X, flat=Axis.Y)
        draft.joint(
            "butt",
            first,
            rest,
            count=self.top_boards - 1,
            name="boards of the top",
            blame="top_boards",
            given={"meeting": "edge_to_edge"},
        )
        moved = movement_mm(
            self.width_mm,
            species(self.timber).tangential_coefficient,
            self.moisture_made_percent,
            self.moisture_most_percent,
        )
        draft.gap(
            "play of the buttons that hold the top",
            abs(moved) / 2,
            "The top moves across its grain on either side of the middle; never glue it down.",
        )

    def _drawers(self, draft: Draft, leg: str) -> None:
        thick, near = self.apron_thickness_mm, self.overhang_mm
        top = self.height_mm - self.top_thickness_mm
        start, front = near + self.leg_mm, near + self.leg_mm + self._between_z
        z = front + (self.leg_mm - thick) / 2
        tenon = tenon_in_post(self.leg_mm, thick)
        rail = draft.part(
            "drawer rail",
            [
                block(start, y, z, self._between_x, thick, thick)
                for y in (top - self.apron_width_mm, top - thick)
            ],
            along=Axis.X,
            flat=Axis.Z,
            longer_mm=2 * tenon["tenon_length_mm"],
        )
        draft.joint(
            "mortise-tenon",
            leg,
            rail,
            count=4,
            name="drawer rail into leg",
            blame="apron_thickness_mm",
            given=tenon,
        )
        foot = top - self.apron_width_mm + thick
        room = (self._between_x - (self.drawers - 1) * thick) / self.drawers
        starts = [start + place * (room + thick) for place in range(self.drawers)]
        if self.drawers > 1:
            self._dividers(draft, rail, [x + room for x in starts[:-1]], foot, z)
        draft.part(
            "drawer runner",
            [
                block(x, foot - thick, start, thick, thick, z - start)
                for left in starts
                for x in (left, left + room - thick)
            ],
            along=Axis.Z,
            flat=Axis.Y,
        )
        drawer = drawer_box(
            width_mm=room - 2 * SIDE_ROOM_MM,
            height_mm=self._opening - TOP_ROOM_MM,
            depth_mm=z + thick - near - self.leg_mm,
            timber=self.timber,
            blame={"width": "drawers", "height": "apron_width_mm", "depth": "width_mm"},
            quantity=self.drawers,
        )
        draft.include(drawer, [(x + SIDE_ROOM_MM, foot, start) for x in starts])

    def _dividers(self, draft: Draft, rail: str, lefts: list[float], foot: float, z: float) -> None:
        thick = self.apron_thickness_mm
        divider = draft.part(
            "drawer divider",
            [block(x, foot, z, thick, self._opening, thick) for x in lefts],
            along=Axis.Y,
            flat=Axis.X,
            longer_mm=thick,
        )
        draft.joint(
            "mortise-tenon",
            rail,
            divider,
            count=2 * len(lefts),
            name="divider into drawer rail",
            blame="apron_thickness_mm",
            given={"tenon_length_mm": thick / 2},
        )


PATTERN = Table
