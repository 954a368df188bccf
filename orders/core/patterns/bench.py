"""Bench: legs, rails, a stretcher and a seat of slats with gaps between them."""

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

LEAST_SLAT_MM = 25.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench(Pattern):
    """The slats lie on the short rails and are screwed from below."""

    code: ClassVar[str] = "bench"
    label: ClassVar[str] = "Bench"
    summary: ClassVar[str] = "Legs, rails, a stretcher and a seat of slats."
    caution: ClassVar[str] = (
        "A bench carries people: prove the frame on a sample before it goes out."
    )

    length_mm: float = asked("length", 1300.0, least=400, most=2500)
    depth_mm: float = asked("depth", 400.0, least=250, most=700)
    height_mm: float = asked("height of the seat", 450.0, least=250, most=600)
    leg_mm: float = asked("thickness of the legs", 60.0, least=40, most=120)
    rail_width_mm: float = asked("width of the rails", 80.0, least=40, most=160)
    rail_thickness_mm: float = asked("thickness of the rails", 28.0, least=18, most=60)
    stretcher_height_mm: float = asked("stretcher above the floor", 120.0, least=40, most=300)
    slats: int = asked("slats in the seat", 5, least=2, most=20, measure=Measure.COUNT)
    slat_thickness_mm: float = asked("thickness of the slats", 25.0, least=15, most=50)
    slat_gap_mm: float = asked("gap between slats", 8.0, least=3, most=30)
    timber: str = timber()

    @property
    def _slat(self) -> float:
        return (self.depth_mm - (self.slats - 1) * self.slat_gap_mm) / self.slats

    def check(self) -> None:
        """Slats must be wide enough, rails thinner than legs and above the stretcher."""
        if self._slat < LEAST_SLAT_MM:
            step = LEAST_SLAT_MM + self.slat_gap_mm
            raise RuleBroken(
                "slats",
                "The slats are too narrow to sit on; take fewer.",
                nearest=max(2.0, float(int((self.depth_mm + self.slat_gap_mm) / step))),
            )
        require_at_most(
            "rail_thickness_mm",
            self.rail_thickness_mm,
            self.leg_mm * 0.8,
            "The rails are about as thick as the legs; make them thinner.",
        )
        require_at_most(
            "rail_width_mm",
            self.rail_width_mm,
            self.height_mm - self.slat_thickness_mm - 100,
            "The rails reach down to the floor; make them narrower.",
        )
        require_at_most(
            "stretcher_height_mm",
            self.stretcher_height_mm,
            max(40.0, self.height_mm - self.slat_thickness_mm - 1.5 * self.rail_width_mm - 10),
            "The stretchers run into the seat rails; lower them.",
        )

    def made(self) -> Made:
        """Legs, rails, stretchers and slats."""
        draft = Draft("Bench", self.timber)
        leg, thick = self.leg_mm, self.rail_thickness_mm
        tall = self.height_mm - self.slat_thickness_mm
        far_x, far_z = self.length_mm - leg, self.depth_mm - leg
        legs = draft.part(
            "leg",
            [block(x, 0, z, leg, tall, leg) for x in (0.0, far_x) for z in (0.0, far_z)],
            along=Axis.Y,
            flat=Axis.X,
        )
        inset, foot = (leg - thick) / 2, tall - self.rail_width_mm
        tenon = tenon_in_post(leg, thick)
        longer = 2 * tenon["tenon_length_mm"]
        long = draft.part(
            "long rail",
            [
                block(leg, foot, z, self.length_mm - 2 * leg, self.rail_width_mm, thick)
                for z in (inset, far_z + inset)
            ],
            along=Axis.X,
            flat=Axis.Z,
            longer_mm=longer,
        )
        short = draft.part(
            "short rail",
            [
                block(x, foot, leg, thick, self.rail_width_mm, self.depth_mm - 2 * leg)
                for x in (inset, far_x + inset)
            ],
            along=Axis.Z,
            flat=Axis.X,
            longer_mm=longer,
        )
        low = draft.part(
            "end stretcher",
            [
                block(
                    x,
                    self.stretcher_height_mm,
                    leg,
                    thick,
                    self.rail_width_mm / 2,
                    self.depth_mm - 2 * leg,
                )
                for x in (inset, far_x + inset)
            ],
            along=Axis.Z,
            flat=Axis.X,
            longer_mm=longer,
        )
        for mark, name, type in (
            (long, "long rail into leg", "haunched-mortise-tenon"),
            (short, "short rail into leg", "haunched-mortise-tenon"),
            (low, "end stretcher into leg", "mortise-tenon"),
        ):
            draft.joint(type, legs, mark, count=4, name=name, blame="rail_width_mm", given=tenon)
        self._slats(draft, short, tall)
        return draft.made(self.caution)

    def _slats(self, draft: Draft, short: str, tall: float) -> None:
        step = self._slat + self.slat_gap_mm
        slat = draft.part(
            "slat",
            [
                block(0, tall, place * step, self.length_mm, self.slat_thickness_mm, self._slat)
                for place in range(self.slats)
            ],
            along=Axis.X,
            flat=Axis.Y,
            note="two screws at each end, from below",
        )
        draft.joint(
            "overlap",
            short,
            slat,
            count=2 * self.slats,
            name="slat on short rail",
            blame="rail_thickness_mm",
            given={"overlap_mm": min(self.rail_thickness_mm, self.rail_width_mm)},
        )
        draft.gap(
            "gap between slats",
            self.slat_gap_mm,
            "Slats swell, and water must run off between them.",
        )


PATTERN = Bench
