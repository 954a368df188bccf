"""Frame-and-panel door: haunched frame, loose panels that may swell in their grooves."""

from dataclasses import dataclass
from typing import ClassVar

from orders.core.pattern import (
    Axis,
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

LEAST_PANEL_MM, LEAST_RAIL_MM = 50.0, 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FramePanelDoor(Pattern):
    """The haunches fill the ends of the grooves; no glue comes near the panels."""

    code: ClassVar[str] = "frame-panel-door"
    label: ClassVar[str] = "Frame-and-panel door"
    summary: ClassVar[str] = "A haunched frame with loose panels in grooves."

    width_mm: float = asked("width", 500.0, least=200, most=1200)
    height_mm: float = asked("height", 800.0, least=250, most=2400)
    thickness_mm: float = asked("thickness of the frame", 22.0, least=15, most=60)
    stile_width_mm: float = asked("width of the stiles", 60.0, least=30, most=160)
    top_rail_width_mm: float = asked("width of the top rail", 60.0, least=30, most=200)
    bottom_rail_width_mm: float = asked("width of the bottom rail", 80.0, least=30, most=260)
    middle_rails: int = asked("middle rails", 0, least=0, most=4, measure=Measure.COUNT)
    groove_depth_mm: float = asked("depth of the grooves", 9.0, least=4, most=20)
    moisture_made_percent: float = asked(
        "moisture when made", 8.0, least=4, most=20, measure=Measure.PERCENT
    )
    moisture_most_percent: float = asked(
        "moisture at its wettest", 13.0, least=4, most=25, measure=Measure.PERCENT
    )
    timber: str = timber()

    @property
    def _opening_height(self) -> float:
        rails = self.top_rail_width_mm + self.bottom_rail_width_mm
        middle = self.middle_rails * self.top_rail_width_mm
        return (self.height_mm - rails - middle) / (self.middle_rails + 1)

    @property
    def _opening_width(self) -> float:
        return self.width_mm - 2 * self.stile_width_mm

    @property
    def _gap(self) -> float:
        return clearance_mm(
            self._opening_width + 2 * self.groove_depth_mm,
            self.timber,
            self.moisture_made_percent,
            self.moisture_most_percent,
        )

    def check(self) -> None:
        """Panels need an opening, and grooves deeper than what they swell."""
        require_at_most(
            "stile_width_mm",
            self.stile_width_mm,
            self.width_mm / 2 - 40,
            "The stiles leave no opening for a panel; make them narrower.",
        )
        count = self.middle_rails + 1
        taken = count * LEAST_PANEL_MM + LEAST_RAIL_MM
        sentence = "The rails leave no openings for panels; make them narrower or fewer."
        require_at_most(
            "top_rail_width_mm",
            self.top_rail_width_mm,
            max(LEAST_RAIL_MM, (self.height_mm - taken) / count),
            sentence,
        )
        require_at_most(
            "bottom_rail_width_mm",
            self.bottom_rail_width_mm,
            self.height_mm - count * (LEAST_PANEL_MM + self.top_rail_width_mm),
            sentence,
        )
        require_at_most(
            "groove_depth_mm",
            self.groove_depth_mm,
            min(self.stile_width_mm, self.top_rail_width_mm) / 3,
            "The grooves cut too deep into the frame; make them shallower.",
        )
        if self._gap > self.groove_depth_mm - 2:
            require_at_most(
                "moisture_most_percent",
                self.moisture_most_percent,
                self.moisture_made_percent,
                "The panel swells by more than its grooves take; deepen them or make it drier.",
            )

    def made(self) -> Made:
        """Stiles, rails and panels."""
        draft = Draft("Door", self.timber)
        thick, tenon = self.thickness_mm, rounded(self.thickness_mm / 3)
        deep = rounded(self.stile_width_mm * 2 / 3)
        groove = f"groove {tenon:g} x {self.groove_depth_mm:g} on the inner edge"
        stile = draft.part(
            "stile",
            [
                block(x, 0, 0, self.stile_width_mm, self.height_mm, thick)
                for x in (0.0, self.width_mm - self.stile_width_mm)
            ],
            along=Axis.Y,
            flat=Axis.Z,
            note=groove,
        )
        self._outer_rails(draft, stile, tenon, deep, groove)
        if self.middle_rails:
            self._middle_rails(draft, stile, tenon, deep)
        self._panels(draft, tenon)
        draft.extra("plough-groove", 4 + 2 * self.middle_rails)
        return draft.made()

    def _outer_rails(
        self, draft: Draft, stile: str, tenon: float, deep: float, groove: str
    ) -> None:
        for name, y, wide, blame in (
            (
                "top rail",
                self.height_mm - self.top_rail_width_mm,
                self.top_rail_width_mm,
                "top_rail_width_mm",
            ),
            ("bottom rail", 0.0, self.bottom_rail_width_mm, "bottom_rail_width_mm"),
        ):
            rail = draft.part(
                name,
                [block(self.stile_width_mm, y, 0, self._opening_width, wide, self.thickness_mm)],
                along=Axis.X,
                flat=Axis.Z,
                longer_mm=2 * deep,
                note=groove,
            )
            draft.joint(
                "haunched-mortise-tenon",
                stile,
                rail,
                count=2,
                name=f"{name} into stile",
                blame=blame,
                given={
                    "tenon_thickness_mm": tenon,
                    "tenon_length_mm": deep,
                    "haunch_length_mm": self.groove_depth_mm,
                },
            )

    def _middle_rails(self, draft: Draft, stile: str, tenon: float, deep: float) -> None:
        step = self._opening_height + self.top_rail_width_mm
        first = self.bottom_rail_width_mm + self._opening_height
        rail = draft.part(
            "middle rail",
            [
                block(
                    self.stile_width_mm,
                    first + place * step,
                    0,
                    self._opening_width,
                    self.top_rail_width_mm,
                    self.thickness_mm,
                )
                for place in range(self.middle_rails)
            ],
            along=Axis.X,
            flat=Axis.Z,
            longer_mm=2 * deep,
            note=f"groove {tenon:g} x {self.groove_depth_mm:g} on both edges",
        )
        draft.joint(
            "mortise-tenon",
            stile,
            rail,
            count=2 * self.middle_rails,
            name="middle rail into stile",
            blame="top_rail_width_mm",
            given={"tenon_thickness_mm": tenon, "tenon_length_mm": deep},
        )

    def _panels(self, draft: Draft, tenon: float) -> None:
        step = self._opening_height + self.top_rail_width_mm
        draft.part(
            "panel",
            [
                block(
                    self.stile_width_mm,
                    self.bottom_rail_width_mm + place * step,
                    self.thickness_mm / 3,
                    self._opening_width,
                    self._opening_height,
                    tenon,
                )
                for place in range(self.middle_rails + 1)
            ],
            along=Axis.Y,
            flat=Axis.Z,
            longer_mm=2 * (self.groove_depth_mm - 1),
            wider_mm=2 * (self.groove_depth_mm - self._gap),
            note="dry in its grooves",
        )
        draft.gap(
            "room for the panel in each stile's groove",
            self._gap,
            "The panel swells across its grain; glue keeps away from it.",
        )


PATTERN = FramePanelDoor
