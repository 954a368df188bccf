"""Stool or chair frame: legs, seat rails and stretchers; with a back, the rear legs run up."""

from dataclasses import dataclass
from typing import ClassVar

from orders.core.errors import RuleBroken
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

BACK_RAIL_MM = 50.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stool(Pattern):
    """All rails are tenoned and stand in the middle of the legs."""

    code: ClassVar[str] = "stool"
    label: ClassVar[str] = "Stool or chair frame"
    summary: ClassVar[str] = "Legs, seat rails and stretchers; a chair with a back."
    caution: ClassVar[str] = (
        "A chair carries a person: prove the frame on a sample before it goes out."
    )

    width_mm: float = asked("width", 420.0, least=250, most=700)
    depth_mm: float = asked("depth", 400.0, least=250, most=700)
    seat_height_mm: float = asked("height of the seat rails", 440.0, least=200, most=800)
    back_height_mm: float = asked(
        "height of the back",
        0.0,
        least=0,
        most=1300,
        help="0 makes a stool; a chair has about 850.",
    )
    leg_mm: float = asked("thickness of the legs", 38.0, least=25, most=80)
    rail_width_mm: float = asked("width of the seat rails", 60.0, least=30, most=120)
    rail_thickness_mm: float = asked("thickness of the rails", 22.0, least=14, most=50)
    stretcher_width_mm: float = asked("width of the stretchers", 30.0, least=18, most=80)
    stretcher_height_mm: float = asked("stretchers above the floor", 120.0, least=30, most=400)
    back_rails: int = asked("rails in the back", 2, least=1, most=6, measure=Measure.COUNT)
    timber: str = timber()

    def check(self) -> None:
        """Rails must be thinner than legs, stretchers below the seat, a back above it."""
        require_at_most(
            "rail_thickness_mm",
            self.rail_thickness_mm,
            self.leg_mm * 0.8,
            "The rails are about as thick as the legs; make them thinner.",
        )
        require_at_most(
            "stretcher_height_mm",
            self.stretcher_height_mm,
            self.seat_height_mm - self.rail_width_mm - self.stretcher_width_mm - 20,
            "The stretchers run into the seat rails; lower them.",
        )
        least = self.seat_height_mm + self.back_rails * (BACK_RAIL_MM + 20)
        if self.back_height_mm and self.back_height_mm < least:
            raise RuleBroken(
                "back_height_mm",
                "The back has no room for its rails; make it higher, or 0 for a stool.",
                nearest=least,
            )

    def made(self) -> Made:
        """Legs, seat rails, stretchers and, for a chair, the rails of the back."""
        draft = Draft("Chair frame" if self.back_height_mm else "Stool", self.timber)
        far_x, far_z = self.width_mm - self.leg_mm, self.depth_mm - self.leg_mm
        rear_height = self.back_height_mm or self.seat_height_mm
        front = self._legs(draft, "front leg", (0.0, far_x), far_z, self.seat_height_mm)
        rear = self._legs(draft, "rear leg", (0.0, far_x), 0.0, rear_height)
        seat = self.seat_height_mm - self.rail_width_mm
        for name, y, wide in (
            ("seat rail", seat, self.rail_width_mm),
            ("stretcher", self.stretcher_height_mm, self.stretcher_width_mm),
        ):
            self._round(draft, front, rear, name, y, wide)
        if self.back_height_mm:
            self._back(draft, rear)
        return draft.made(self.caution)

    def _legs(self, draft: Draft, name: str, xs: tuple[float, float], z: float, tall: float) -> str:
        return draft.part(
            name,
            [block(x, 0, z, self.leg_mm, tall, self.leg_mm) for x in xs],
            along=Axis.Y,
            flat=Axis.X,
        )

    def _round(self, draft: Draft, front: str, rear: str, name: str, y: float, wide: float) -> None:
        """Four rails at one height."""
        leg, thick = self.leg_mm, self.rail_thickness_mm
        inset = (leg - thick) / 2
        tenon = tenon_in_post(leg, thick)
        longer = 2 * tenon["tenon_length_mm"]
        across, deep = self.width_mm - 2 * leg, self.depth_mm - 2 * leg
        far_x, far_z = self.width_mm - leg + inset, self.depth_mm - leg + inset
        cross = draft.part(
            f"cross {name}",
            [block(leg, y, z, across, wide, thick) for z in (inset, far_z)],
            along=Axis.X,
            flat=Axis.Z,
            longer_mm=longer,
        )
        side = draft.part(
            f"side {name}",
            [block(x, y, leg, thick, wide, deep) for x in (inset, far_x)],
            along=Axis.Z,
            flat=Axis.X,
            longer_mm=longer,
        )
        for legs, of_legs in ((front, "front leg"), (rear, "rear leg")):
            is_corner = name == "seat rail" and not (legs == rear and self.back_height_mm)
            for mark, what in ((cross, f"cross {name}"), (side, f"side {name}")):
                draft.joint(
                    "haunched-mortise-tenon" if is_corner else "mortise-tenon",
                    legs,
                    mark,
                    count=2,
                    name=f"{what} into {of_legs}",
                    blame="rail_width_mm" if name == "seat rail" else "stretcher_width_mm",
                    given=tenon,
                )

    def _back(self, draft: Draft, rear: str) -> None:
        leg, thick = self.leg_mm, self.rail_thickness_mm
        tenon = tenon_in_post(leg, thick)
        room = self.back_height_mm - 15 - self.seat_height_mm - BACK_RAIL_MM
        step = room / self.back_rails
        rails = draft.part(
            "back rail",
            [
                block(
                    leg,
                    self.back_height_mm - 15 - BACK_RAIL_MM - place * step,
                    (leg - thick) / 2,
                    self.width_mm - 2 * leg,
                    BACK_RAIL_MM,
                    thick,
                )
                for place in range(self.back_rails)
            ],
            along=Axis.X,
            flat=Axis.Z,
            longer_mm=2 * tenon["tenon_length_mm"],
        )
        draft.joint(
            "mortise-tenon",
            rear,
            rails,
            count=2 * self.back_rails,
            name="back rail into rear leg",
            blame="rail_thickness_mm",
            given=tenon,
        )


PATTERN = Stool
