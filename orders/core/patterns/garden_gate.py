"""Garden gate: a haunched top rail, bare-faced lower rails, tongued boards and a brace."""

from dataclasses import dataclass
from math import atan2, cos, hypot, sin
from typing import ClassVar

from orders.core.errors import RuleBroken
from orders.core.pattern import (
    Axis,
    Block,
    Draft,
    Made,
    Measure,
    Pattern,
    asked,
    block,
    clearance_mm,
    require_at_most,
    rounded,
    timber,
)

LEAST_BOARD_MM = 30.0
TONGUE_MM = 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GardenGate(Pattern):
    """The lower rails are thinner by the boards, which run down over them; water runs off."""

    code: ClassVar[str] = "garden-gate"
    label: ClassVar[str] = "Garden gate"
    summary: ClassVar[str] = "A framed gate with tongued boards and a brace."

    width_mm: float = asked("width", 900.0, least=500, most=1500)
    height_mm: float = asked("height", 1100.0, least=600, most=2200)
    thickness_mm: float = asked("thickness of the frame", 45.0, least=30, most=75)
    stile_width_mm: float = asked("width of the stiles", 95.0, least=60, most=160)
    rail_width_mm: float = asked("width of the rails", 95.0, least=60, most=200)
    boards: int = asked("boards", 8, least=2, most=24, measure=Measure.COUNT)
    board_thickness_mm: float = asked("thickness of the boards", 18.0, least=12, most=30)
    moisture_made_percent: float = asked(
        "moisture when made", 14.0, least=8, most=25, measure=Measure.PERCENT
    )
    moisture_most_percent: float = asked(
        "moisture at its wettest", 20.0, least=8, most=28, measure=Measure.PERCENT
    )
    timber: str = timber()

    @property
    def _opening(self) -> float:
        return self.width_mm - 2 * self.stile_width_mm

    @property
    def _board(self) -> float:
        return self._opening / self.boards

    @property
    def _gap(self) -> float:
        return clearance_mm(
            self._board, self.timber, self.moisture_made_percent, self.moisture_most_percent
        )

    def check(self) -> None:
        """Boards must be wide enough, and rails leave room for a brace."""
        require_at_most(
            "stile_width_mm",
            self.stile_width_mm,
            self.width_mm / 2 - 120,
            "The stiles leave no room for boards; make them narrower.",
        )
        if self._board < LEAST_BOARD_MM:
            raise RuleBroken(
                "boards",
                "The boards are too narrow to be tongued; take fewer.",
                nearest=float(int(self._opening / LEAST_BOARD_MM)),
            )
        require_at_most(
            "rail_width_mm",
            self.rail_width_mm,
            (self.height_mm - 240) / 3,
            "The rails leave no room between them; make them narrower.",
        )
        require_at_most(
            "board_thickness_mm",
            self.board_thickness_mm,
            self.thickness_mm * 0.5,
            "The boards leave too little of the lower rails; make them thinner.",
        )

    def made(self) -> Made:
        """Stiles, rails, boards and brace."""
        draft = Draft("Garden gate", self.timber)
        deep = rounded(self.stile_width_mm * 2 / 3)
        stile = draft.part(
            "stile",
            [
                block(x, 0, 0, self.stile_width_mm, self.height_mm, self.thickness_mm)
                for x in (0.0, self.width_mm - self.stile_width_mm)
            ],
            along=Axis.Y,
            flat=Axis.Z,
            note="groove on the inner edge for the boards",
        )
        self._rails(draft, stile, deep)
        self._boards(draft)
        draft.extra("plough-groove", 3)
        return draft.made()

    def _rails(self, draft: Draft, stile: str, deep: float) -> None:
        wide, thin = self.rail_width_mm, self.thickness_mm - self.board_thickness_mm
        top = draft.part(
            "top rail",
            [
                block(
                    self.stile_width_mm,
                    self.height_mm - wide,
                    0,
                    self._opening,
                    wide,
                    self.thickness_mm,
                )
            ],
            along=Axis.X,
            flat=Axis.Z,
            longer_mm=2 * deep,
        )
        middle = (self.height_mm - wide) / 2
        lower = draft.part(
            "lower rail",
            [block(self.stile_width_mm, y, 0, self._opening, wide, thin) for y in (40.0, middle)],
            along=Axis.X,
            flat=Axis.Z,
            longer_mm=2 * deep,
        )
        draft.joint(
            "haunched-mortise-tenon",
            stile,
            top,
            count=2,
            name="top rail into stile",
            blame="rail_width_mm",
            given={"tenon_length_mm": deep},
        )
        draft.joint(
            "barefaced-tenon",
            stile,
            lower,
            count=4,
            name="lower rail into stile",
            blame="board_thickness_mm",
            given={
                "tenon_length_mm": deep,
                "tenon_thickness_mm": rounded(min(self.thickness_mm / 3, thin * 0.6)),
            },
        )
        brace = draft.part(
            "brace",
            [self._brace(40.0 + wide, middle, thin)],
            along=Axis.X,
            flat=Axis.Z,
            note="rises from the hanging stile",
        )
        draft.joint(
            "butt",
            lower,
            brace,
            count=2,
            name="brace against lower rail",
            blame="rail_width_mm",
            given={"meeting": "end_to_edge"},
        )

    def _brace(self, low: float, high: float, thin: float) -> Block:
        """A board from the lower left to the upper right, cut to the rails."""
        wide = self.rail_width_mm * 0.8
        rise, run = high - low, self._opening
        lean = atan2(rise, run)
        start = wide * sin(lean)
        outline = (
            (0.0, 0.0, 0.0),
            (min(start / max(sin(lean), 0.1), run / 2), 0.0, 0.0),
            (run, rise, 0.0),
            (max(run - wide / max(sin(lean), 0.1), run / 2), rise, 0.0),
        )
        length = hypot(rise, run) + wide * cos(lean)
        return Block(
            at=(self.stile_width_mm, low, 0.0),
            size=(length, wide, thin),
            outline=outline,
            through=(0.0, 0.0, thin),
        )

    def _boards(self, draft: Draft) -> None:
        foot = 20.0
        tall = self.height_mm - self.rail_width_mm - foot
        front = self.thickness_mm - self.board_thickness_mm
        strips = [
            block(
                self.stile_width_mm + place * self._board,
                foot,
                front,
                self._board,
                tall,
                self.board_thickness_mm,
            )
            for place in range(self.boards)
        ]
        wider = TONGUE_MM - self._gap if self._gap < TONGUE_MM else 0.0
        parts = [
            draft.part(
                name,
                some,
                along=Axis.Y,
                flat=Axis.Z,
                longer_mm=TONGUE_MM,
                wider_mm=wider,
                note="dry; painted before it is put in",
            )
            for name, some in (("first board", strips[:1]), ("board", strips[1:]))
        ]
        draft.joint(
            "tongue-groove",
            parts[0],
            parts[1],
            count=self.boards - 1,
            name="board to board, dry",
            blame="boards",
            given={"tongue_length_mm": TONGUE_MM, "clearance_mm": self._gap},
        )
        draft.gap(
            "room at every tongue",
            self._gap,
            "Boards swell in the wet and must not push the frame apart; they stay dry.",
        )


PATTERN = GardenGate
