"""Drawer: lapped dovetails in front, the back housed in the sides, the bottom dry in grooves."""

from dataclasses import dataclass
from typing import ClassVar

from orders.core.drawer_box import drawer_box
from orders.core.pattern import Made, Measure, Pattern, asked, timber


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawer(Pattern):
    """Outer sizes; take off the room that the opening needs, 1 mm a side and 1.5 above."""

    code: ClassVar[str] = "drawer"
    label: ClassVar[str] = "Drawer"
    summary: ClassVar[str] = "Lapped dovetails in front, the bottom dry in grooves."

    width_mm: float = asked("width", 450.0, least=100, most=1200)
    height_mm: float = asked("height of the sides", 110.0, least=40, most=400)
    depth_mm: float = asked("depth from front to back", 420.0, least=120, most=900)
    side_mm: float = asked("thickness of the sides", 12.0, least=8, most=20)
    bottom_mm: float = asked("thickness of the bottom", 6.0, least=4, most=12)
    moisture_made_percent: float = asked(
        "moisture when made", 8.0, least=4, most=20, measure=Measure.PERCENT
    )
    moisture_most_percent: float = asked(
        "moisture at its wettest", 13.0, least=4, most=25, measure=Measure.PERCENT
    )
    timber: str = timber()

    def made(self) -> Made:
        """The four sides and the bottom."""
        return drawer_box(
            width_mm=self.width_mm,
            height_mm=self.height_mm,
            depth_mm=self.depth_mm,
            timber=self.timber,
            side_mm=self.side_mm,
            bottom_mm=self.bottom_mm,
            moisture_made=self.moisture_made_percent,
            moisture_most=self.moisture_most_percent,
            blame={"width": "width_mm", "height": "height_mm", "depth": "depth_mm"},
        ).made()


PATTERN = Drawer
