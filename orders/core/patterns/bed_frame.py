"""Bed frame: four posts, head and foot, side rails, bearers and slats."""

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
    require_at_least,
    require_at_most,
    tenon_in_post,
    timber,
)

SLAT_MM = 70.0
BEARER_MM = 28.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BedFrame(Pattern):
    """The side rails are stub-tenoned dry and drawn up with bolts, so that the bed comes apart."""

    code: ClassVar[str] = "bed-frame"
    label: ClassVar[str] = "Bed frame"
    summary: ClassVar[str] = "Posts, head and foot, side rails, bearers and slats."
    caution: ClassVar[str] = (
        "A bed carries people; lofts, bunks and guards follow local codes and licensed practice."
    )

    mattress_width_mm: float = asked("width of the mattress", 1400.0, least=700, most=2000)
    mattress_length_mm: float = asked("length of the mattress", 2000.0, least=1200, most=2300)
    play_mm: float = asked("play around the mattress", 10.0, least=0, most=50)
    head_height_mm: float = asked("height of the head", 900.0, least=350, most=1500)
    foot_height_mm: float = asked("height of the foot", 450.0, least=300, most=1200)
    rail_foot_mm: float = asked("side rails above the floor", 200.0, least=40, most=400)
    post_mm: float = asked("thickness of the posts", 70.0, least=45, most=120)
    rail_width_mm: float = asked("width of the rails", 140.0, least=80, most=250)
    rail_thickness_mm: float = asked("thickness of the rails", 30.0, least=20, most=60)
    head_rails: int = asked("rails in the head", 2, least=1, most=5, measure=Measure.COUNT)
    slats: int = asked("slats", 14, least=6, most=30, measure=Measure.COUNT)
    timber: str = timber()

    @property
    def _across(self) -> float:
        return self.mattress_width_mm + 2 * self.play_mm

    @property
    def _along(self) -> float:
        return self.mattress_length_mm + 2 * self.play_mm

    def check(self) -> None:
        """Posts must be higher than the rails, and slats find room."""
        top = self.rail_foot_mm + self.rail_width_mm
        require_at_least(
            "foot_height_mm", self.foot_height_mm, top + 10, "The foot is lower than its rails."
        )
        least = top + self.head_rails * (self.rail_width_mm * 0.7 + 20)
        require_at_least(
            "head_height_mm",
            self.head_height_mm,
            least,
            "The head has no room for its rails; make it higher or take fewer.",
        )
        require_at_most(
            "rail_thickness_mm",
            self.rail_thickness_mm,
            self.post_mm * 0.8,
            "The rails are about as thick as the posts; make them thinner.",
        )
        most = int(self._along / (SLAT_MM + 10))
        if self.slats > most:
            raise RuleBroken(
                "slats", f"There is room for {most} slats of {SLAT_MM:g} mm.", nearest=most
            )

    def made(self) -> Made:
        """Head, foot, side rails, bearers and slats."""
        draft = Draft("Bed", self.timber)
        post = self.post_mm
        far_x, far_z = post + self._across, post + self._along
        posts = {}
        for name, z, tall in (
            ("head post", 0.0, self.head_height_mm),
            ("foot post", far_z, self.foot_height_mm),
        ):
            posts[name] = draft.part(
                name,
                [block(x, 0, z, post, tall, post) for x in (0.0, far_x)],
                along=Axis.Y,
                flat=Axis.X,
            )
        self._ends(draft, posts)
        self._sides(draft, posts)
        return draft.made(self.caution)

    def _ends(self, draft: Draft, posts: dict[str, str]) -> None:
        """Rails across the head and the foot."""
        post, thick, wide = self.post_mm, self.rail_thickness_mm, self.rail_width_mm
        inset = (post - thick) / 2
        tenon = tenon_in_post(post, thick)
        narrow = wide * 0.7
        room = self.head_height_mm - 15 - narrow - (self.rail_foot_mm + wide)
        step = room / self.head_rails
        heights = [self.head_height_mm - 15 - narrow - n * step for n in range(self.head_rails)]
        rows = (
            ("head post", "lower head rail", [self.rail_foot_mm], wide, inset),
            ("head post", "head rail", heights, narrow, inset),
            ("foot post", "foot rail", [self.rail_foot_mm], wide, post + self._along + inset),
        )
        for where, name, feet, size, z in rows:
            mark = draft.part(
                name,
                [block(post, y, z, self._across, size, thick) for y in feet],
                along=Axis.X,
                flat=Axis.Z,
                longer_mm=2 * tenon["tenon_length_mm"],
            )
            draft.joint(
                "mortise-tenon",
                posts[where],
                mark,
                count=2 * len(feet),
                name=f"{name} into {where}",
                blame="rail_width_mm",
                given=tenon,
            )

    def _sides(self, draft: Draft, posts: dict[str, str]) -> None:
        """Side rails with stub tenons, a bearer along each, and the slats."""
        post, thick = self.post_mm, self.rail_thickness_mm
        inset = (post - thick) / 2
        stub = {**tenon_in_post(post, thick), "tenon_length_mm": round(post / 4, 3)}
        rail = draft.part(
            "side rail",
            [
                block(x, self.rail_foot_mm, post, thick, self.rail_width_mm, self._along)
                for x in (inset, post + self._across + inset)
            ],
            along=Axis.Z,
            flat=Axis.X,
            longer_mm=2 * stub["tenon_length_mm"],
            note="unglued; one bed bolt at each end",
        )
        for name, mark in posts.items():
            draft.joint(
                "mortise-tenon",
                mark,
                rail,
                count=2,
                name=f"side rail into {name}, dry",
                blame="rail_width_mm",
                given=stub,
            )
        inner = inset + thick
        bearer = draft.part(
            "bearer",
            [
                block(x, self.rail_foot_mm, post, BEARER_MM, BEARER_MM, self._along)
                for x in (inner, post + self._across + inset - BEARER_MM)
            ],
            along=Axis.Z,
            flat=Axis.X,
            note="glued and screwed to the side rail",
        )
        draft.joint(
            "butt",
            rail,
            bearer,
            count=2,
            name="bearer on side rail",
            blame="rail_thickness_mm",
            given={"meeting": "edge_to_edge"},
        )
        width = post + self._across + inset - inner
        gap = (self._along - self.slats * SLAT_MM) / (self.slats + 1)
        slat_foot = self.rail_foot_mm + BEARER_MM
        draft.part(
            "slat",
            [
                block(inner, slat_foot, post + gap + n * (gap + SLAT_MM), width, 20.0, SLAT_MM)
                for n in range(self.slats)
            ],
            along=Axis.X,
            flat=Axis.Y,
            note="loose on the bearers",
        )
        draft.gap("gap between slats", gap, "Under 80 mm carries most mattresses evenly.")


PATTERN = BedFrame
