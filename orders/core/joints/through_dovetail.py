"""Through dovetail: tails on one board between pins on the other, both showing at the corner."""

from dataclasses import dataclass
from math import floor
from typing import Any, ClassVar

from orders.core.errors import RuleBroken
from orders.core.figures import dovetail_slopes
from orders.core.joint import Advice, Given, Joint, Section, Unit, own, visible_length
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import X, Y

LEAST_NECK_MM = 0.5
MOST_TAILS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class ThroughDovetail(Joint):
    """Equal tails with full pins between them and a half pin at each edge."""

    code: ClassVar[str] = "through-dovetail"
    label: ClassVar[str] = "Through dovetail"
    summary: ClassVar[str] = "Tails on one board locked between pins on the other."
    a_label: ClassVar[str] = "pin board"
    b_label: ClassVar[str] = "tail board"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=150, thickness_mm=20, length_mm=400),
        Section(width_mm=150, thickness_mm=20, length_mm=600),
    )

    tail_count: int = own(
        "number of tails",
        "One for every 40 mm of width.",
        source="common practice, no source",
        unit=Unit.COUNT,
        least=1,
        most=MOST_TAILS,
    )
    slope: float = own(
        "slope, 1 in",
        "1 in 8, as is usual for hardwood; 1 in 6 for softwood.",
        source="common practice, no source",
        unit=Unit.RATIO,
        least=1.0,
    )
    pin_width_mm: float = own(
        "pin width, narrow side",
        "Three tenths of the pin board's thickness.",
        source="common practice, no source",
    )
    half_pin_width_mm: float = own(
        "half pin width, narrow side",
        "As wide as a full pin.",
        source="common practice, no source",
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """Slim pins, and tails about twice as wide as the boards are thick."""
        count = int(given.get("tail_count", min(MOST_TAILS, max(1, round(b.width_mm / 40)))))
        pin = float(given.get("pin_width_mm", min(a.thickness_mm * 0.3, b.width_mm / count / 4)))
        least_slope = 2 * a.thickness_mm * count / (b.width_mm * 0.6)
        return {
            "tail_count": count,
            "slope": max(8.0, least_slope),
            "pin_width_mm": pin,
            "half_pin_width_mm": pin,
        }

    @property
    def tail_width_mm(self) -> float:
        """Width of a tail at the end of its board."""
        pins = (self.tail_count - 1) * self.pin_width_mm + 2 * self.half_pin_width_mm
        return (self.b.width_mm - pins) / self.tail_count

    @property
    def splay_mm(self) -> float:
        """How much a tail narrows on each side over its length."""
        return self.a.thickness_mm / self.slope

    def check(self) -> None:
        """The boards must be of one width and every tail must keep a neck."""
        if abs(self.a.width_mm - self.b.width_mm) > 1e-6:
            raise RuleBroken(
                "b/width_mm",
                "Both boards of a dovetailed corner must be of one width.",
                nearest=self.a.width_mm,
            )
        if self.a.thickness_mm > self.b.length_mm or self.b.thickness_mm > self.a.length_mm:
            raise RuleBroken("b/length_mm", "A board is shorter than the corner is deep.")
        neck = self.tail_width_mm - 2 * self.splay_mm
        if neck < LEAST_NECK_MM - 1e-9:
            step = self.pin_width_mm + 2 * self.splay_mm + LEAST_NECK_MM
            room = self.b.width_mm - 2 * self.half_pin_width_mm + self.pin_width_mm
            most = floor(room / step + 1e-9)
            if most >= 1 and self.tail_count > most:
                raise RuleBroken(
                    "tail_count",
                    f"The tails run to nothing at the neck; there is room for {most} here.",
                    nearest=most,
                )
            raise RuleBroken(
                "slope",
                "The tails run to nothing at the neck; make the slope steeper (1 in more) "
                "or the pins narrower.",
                nearest=None
                if self.tail_width_mm <= LEAST_NECK_MM
                else 2 * self.a.thickness_mm / (self.tail_width_mm - LEAST_NECK_MM),
            )

    def geometry(self) -> Geometry:
        """Tails are drawn in the x-z plane and reach through the tail board along y."""
        reach = visible_length(self)
        pin_board, tail_board = self.a, self.b
        deep, thick, wide = pin_board.thickness_mm, tail_board.thickness_mm, tail_board.width_mm
        tails = tuple(self._tail(place) for place in range(self.tail_count))
        first = self.half_pin_width_mm
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block((-deep, 0), (-reach, thick), (0, wide)),
                    keeps=(
                        Solid.block((-deep, 0), (-reach, 0), (0, wide)),
                        *(self._pin(place) for place in range(self.tail_count + 1)),
                    ),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((-deep, reach), (0, thick), (0, wide)),
                    keeps=(Solid.block((0, reach), (0, thick), (0, wide)), *tails),
                    leaves=Y,
                ),
            ),
            dimensions=(
                Dimension.between("tail length", (-deep, thick, 0), (0, thick, 0), View.TOP),
                Dimension.between(
                    "tail width",
                    (-deep, thick, first),
                    (-deep, thick, first + self.tail_width_mm),
                    View.TOP,
                ),
                Dimension.between(
                    "tail neck",
                    (0, thick, first + self.splay_mm),
                    (0, thick, first + self.tail_width_mm - self.splay_mm),
                    View.TOP,
                ),
                Dimension.between("half pin", (-deep, thick, 0), (-deep, thick, first), View.TOP),
                Dimension.between("board width", (reach, thick, 0), (reach, thick, wide), View.TOP),
                Dimension.between(
                    "pin board thickness", (-deep, -reach, wide), (0, -reach, wide), View.FRONT
                ),
                Dimension.between(
                    "tail board thickness", (reach, 0, wide), (reach, thick, wide), View.FRONT
                ),
            ),
        )

    def _tail(self, place: int) -> Solid:
        low = self.half_pin_width_mm + place * (self.tail_width_mm + self.pin_width_mm)
        return self._slice(
            low,
            low + self.tail_width_mm,
            low + self.splay_mm,
            low + self.tail_width_mm - self.splay_mm,
        )

    def _pin(self, place: int) -> Solid:
        """The wood between two tails, or between a tail and the edge."""
        pitch = self.tail_width_mm + self.pin_width_mm
        end = self.half_pin_width_mm + place * pitch
        start = end - self.pin_width_mm
        low = (0.0, 0.0) if place == 0 else (start, start - self.splay_mm)
        wide = self.b.width_mm
        high = (wide, wide) if place == self.tail_count else (end, end + self.splay_mm)
        return self._slice(low[0], high[0], low[1], high[1])

    def _slice(self, low_out: float, high_out: float, low_in: float, high_in: float) -> Solid:
        """A prism through the tail board: its z span at the outside and at the inside of a."""
        deep = -self.a.thickness_mm
        outline = ((deep, 0, low_out), (0, 0, low_in), (0, 0, high_in), (deep, 0, high_out))
        return Solid.prism(outline, (0.0, self.b.thickness_mm, 0.0))

    def proportions(self) -> tuple[Advice, ...]:
        """Slope and pins against the usual."""
        slopes = dovetail_slopes()
        advice = []
        least, most = min(rule.one_in for rule in slopes), max(rule.one_in for rule in slopes)
        if not least - 1e-9 <= self.slope <= most + 1e-9:
            advice.append(
                Advice(
                    text=f"The slope is outside the usual 1 in {least:g} to 1 in {most:g}.",
                    reason="A flat slope slips out and a sharp one has weak short grain.",
                    source=slopes[0].source,
                )
            )
        if self.half_pin_width_mm < self.pin_width_mm - 1e-9:
            advice.append(
                Advice(
                    text="The half pins are narrower than the full pins.",
                    reason="The edge pin carries most and splits first.",
                    source="common practice, no source",
                )
            )
        return tuple(advice)


JOINT = ThroughDovetail
