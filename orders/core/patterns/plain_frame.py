"""Plain window or mirror frame: four lengths, a rebate, one joint at every corner."""

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

CORNERS = (
    "splined-mitre",
    "keyed-mitre",
    "dowelled-mitre",
    "biscuit-mitre",
    "mitre",
    "mitred-bridle",
    "corner-bridle",
    "corner-halving",
    "haunched-mortise-tenon",
    "dowel",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainFrame(Pattern):
    """The glass or mirror lies loose in the rebate, held by beads."""

    code: ClassVar[str] = "plain-frame"
    label: ClassVar[str] = "Plain window or mirror frame"
    summary: ClassVar[str] = "Four lengths with a rebate, one joint at every corner."
    caution: ClassVar[str] = (
        "Glass at a height where people can fall against it follows local codes."
    )

    width_mm: float = asked("width", 600.0, least=150, most=2000)
    height_mm: float = asked("height", 800.0, least=150, most=2400)
    face_mm: float = asked("width of the wood", 60.0, least=20, most=160)
    thickness_mm: float = asked("thickness of the wood", 25.0, least=12, most=90)
    rebate_width_mm: float = asked("width of the rebate", 10.0, least=3, most=30)
    rebate_depth_mm: float = asked("depth of the rebate", 12.0, least=3, most=60)
    corner: str = asked("joint at the corners", CORNERS[0], measure=Measure.CHOICE, choices=CORNERS)
    timber: str = timber()

    def check(self) -> None:
        """The wood must leave an opening, the rebate wood in front of the glass."""
        require_at_most(
            "face_mm",
            self.face_mm,
            min(self.width_mm, self.height_mm) / 3,
            "The wood leaves too small an opening; make it narrower.",
        )
        require_at_most(
            "rebate_width_mm",
            self.rebate_width_mm,
            self.face_mm / 2,
            "The rebate takes more than half of the wood; make it narrower.",
        )
        require_at_most(
            "rebate_depth_mm",
            self.rebate_depth_mm,
            self.thickness_mm - 4,
            "The rebate leaves no wood in front of the glass; make it shallower.",
        )

    def made(self) -> Made:
        """Two uprights and two cross pieces."""
        draft = Draft("Frame", self.timber)
        face, thick = self.face_mm, self.thickness_mm
        note = f"rebate {self.rebate_width_mm:g} x {self.rebate_depth_mm:g} on the inner edge"
        upright = draft.part(
            "upright",
            [block(x, 0, 0, face, self.height_mm, thick) for x in (0.0, self.width_mm - face)],
            along=Axis.Y,
            flat=Axis.Z,
            note=note,
        )
        cross = draft.part(
            "cross piece",
            [
                block(face, y, 0, self.width_mm - 2 * face, face, thick)
                for y in (0.0, self.height_mm - face)
            ],
            along=Axis.X,
            flat=Axis.Z,
            longer_mm=2 * self._in_corner(),
            note=note,
        )
        draft.joint(
            self.corner, upright, cross, count=4, name="corner of the frame", blame="face_mm"
        )
        draft.extra("plough-groove", 4)
        draft.gap(
            "room around the glass",
            2.0,
            "Wood moves and glass does not; leave 2 mm on every side.",
        )
        return draft.made(self.caution)

    def _in_corner(self) -> float:
        def length(size: float) -> Section:
            return Section(width_mm=self.face_mm, thickness_mm=self.thickness_mm, length_mm=size)

        return in_joint_mm(
            self.corner, length(self.height_mm), length(self.width_mm), blame="face_mm"
        )


PATTERN = PlainFrame
