"""Stair flight: two strings with treads and risers housed in them, straight and without turns."""

from dataclasses import dataclass
from math import atan2, cos, degrees, hypot
from typing import ClassVar

from orders.core.joint import Section
from orders.core.pattern import (
    Axis,
    Block,
    Draft,
    Made,
    Measure,
    Pattern,
    asked,
    block,
    in_joint_mm,
    require_at_least,
    require_at_most,
    timber,
)

NOSING_MM = 16.0
LEAST_STEP, MOST_STEP = 550.0, 700.0


@dataclass(frozen=True, slots=True, kw_only=True)
class StairFlight(Pattern):
    """Closed strings; treads and risers are housed, each riser tongued into the tread above it."""

    code: ClassVar[str] = "stair-flight"
    label: ClassVar[str] = "Stair flight"
    summary: ClassVar[str] = "Two strings with treads and risers housed in them."
    caution: ClassVar[str] = (
        "Rise, going, width, headroom, guards and strength of stairs follow local codes and "
        "licensed practice; nothing here says that a flight complies."
    )

    total_rise_mm: float = asked("total rise", 2600.0, least=300, most=4500)
    risers: int = asked("number of risers", 13, least=2, most=24, measure=Measure.COUNT)
    going_mm: float = asked("going of each step", 230.0, least=180, most=400)
    width_mm: float = asked("width over the strings", 900.0, least=500, most=1500)
    string_width_mm: float = asked("width of the strings", 290.0, least=200, most=500)
    string_thickness_mm: float = asked("thickness of the strings", 32.0, least=25, most=60)
    tread_mm: float = asked("thickness of the treads", 27.0, least=20, most=50)
    riser_mm: float = asked("thickness of the risers", 15.0, least=9, most=30)
    timber: str = timber()

    @property
    def rise_mm(self) -> float:
        """The rise of each step."""
        return self.total_rise_mm / self.risers

    @property
    def pitch_degree(self) -> float:
        """How steep the flight is."""
        return degrees(atan2(self.rise_mm, self.going_mm))

    @property
    def _tread(self) -> float:
        return self.going_mm + NOSING_MM + self.riser_mm

    def check(self) -> None:
        """Steps must be of a height that can be climbed, strings hold their treads."""
        most, least = int(self.total_rise_mm / 110), -int(-self.total_rise_mm // 240)
        require_at_most(
            "risers", self.risers, max(2, most), "The steps are too low; take fewer risers."
        )
        require_at_least(
            "risers", self.risers, max(2, least), "The steps are too high; take more risers."
        )
        require_at_least(
            "string_width_mm",
            self.string_width_mm,
            self._tread,
            "The strings are narrower than the treads; widen them.",
        )
        require_at_most(
            "tread_mm",
            self.tread_mm,
            self.rise_mm / 3,
            "The treads are too thick for so low a step.",
        )

    def made(self) -> Made:
        """Strings, treads and risers."""
        draft = Draft("Stair flight", self.timber)
        string = self._strings(draft)
        tread = self._treads(draft, string)
        riser = self._risers(draft, string)
        draft.joint(
            "tongue-groove",
            tread,
            riser,
            count=self.risers - 1,
            name="riser into the tread above",
            blame="riser_mm",
        )
        draft.gap(
            "room behind each tread for its wedge",
            6.0,
            "Treads and risers are wedged in their housings from behind, and glued.",
        )
        return draft.made(self.caution, *self._usual())

    def _usual(self) -> tuple[str, ...]:
        """What is outside the usual, told and not refused."""
        step = 2 * self.rise_mm + self.going_mm
        if LEAST_STEP <= step <= MOST_STEP:
            return ()
        return (
            f"Twice the rise and the going make {step:.0f} mm; {LEAST_STEP:g} to {MOST_STEP:g} "
            "is usual (common practice, no source).",
        )

    def _strings(self, draft: Draft) -> str:
        run, rise = self.going_mm * (self.risers - 1), self.total_rise_mm
        slope = atan2(self.rise_mm, self.going_mm)
        tall = self.string_width_mm / cos(slope)
        length = hypot(run, rise) + self.string_width_mm
        lift = tall * 0.35
        outline = (
            (0.0, 0.0, 0.0),
            (0.0, tall - lift, 0.0),
            (0.0, rise + tall - lift, -run),
            (0.0, rise - lift, -run),
            (0.0, 0.0, -lift / self.rise_mm * self.going_mm),
        )
        thick = self.string_thickness_mm
        blocks = [
            Block(
                at=(x, 0.0, run),
                size=(thick, self.string_width_mm, length),
                outline=outline,
                through=(thick, 0.0, 0.0),
            )
            for x in (0.0, self.width_mm - thick)
        ]
        return draft.part("string", blocks, along=Axis.Z, flat=Axis.X)

    def _treads(self, draft: Draft, string: str) -> str:
        thick = self.string_thickness_mm
        between = self.width_mm - 2 * thick
        run = self.going_mm * (self.risers - 1)
        treads = [
            block(
                thick,
                (step + 1) * self.rise_mm - self.tread_mm,
                run - (step + 1) * self.going_mm - self.riser_mm,
                between,
                self.tread_mm,
                self._tread,
            )
            for step in range(self.risers - 1)
        ]
        mark = draft.part(
            "tread",
            treads,
            along=Axis.X,
            flat=Axis.Y,
            longer_mm=2 * self._in_string(self._tread, self.tread_mm, between),
        )
        draft.joint(
            "housing",
            string,
            mark,
            count=2 * (self.risers - 1),
            name="tread into string",
            blame="string_thickness_mm",
        )
        return mark

    def _risers(self, draft: Draft, string: str) -> str:
        thick = self.string_thickness_mm
        between = self.width_mm - 2 * thick
        run = self.going_mm * (self.risers - 1)
        tall = self.rise_mm - self.tread_mm
        risers = [
            block(
                thick,
                step * self.rise_mm,
                run - step * self.going_mm - self.riser_mm,
                between,
                tall,
                self.riser_mm,
            )
            for step in range(self.risers)
        ]
        mark = draft.part(
            "riser",
            risers,
            along=Axis.X,
            flat=Axis.Z,
            longer_mm=2 * self._in_string(tall, self.riser_mm, between),
            wider_mm=self.riser_mm / 3,
        )
        draft.joint(
            "housing",
            string,
            mark,
            count=2 * self.risers,
            name="riser into string",
            blame="riser_mm",
        )
        return mark

    def _in_string(self, wide: float, thick: float, long: float) -> float:
        string = Section(
            width_mm=self.string_width_mm, thickness_mm=self.string_thickness_mm, length_mm=3000
        )
        board = Section(width_mm=wide, thickness_mm=thick, length_mm=long)
        return in_joint_mm("housing", string, board, blame="string_thickness_mm")


PATTERN = StairFlight
