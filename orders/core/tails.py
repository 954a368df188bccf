"""A row of dovetails at a corner: equal tails, full pins between them, a half pin at each edge.

The tails are drawn in the x-z plane and reach through the tail board along y; they are wide at
their ends (x = -length) and narrow at the neck (x = 0).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from math import floor
from typing import Any

from orders.core.errors import RuleBroken
from orders.core.figures import dovetail_slopes
from orders.core.joint import Advice, Section
from orders.core.solids import Dimension, Solid, View

LEAST_NECK_MM = 0.5
MOST_TAILS = 60
USUAL_SLOPE = 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tails:
    """The row: `length_mm` along the tail board, `thickness_mm` that board's thickness."""

    count: int
    slope: float
    pin_width_mm: float
    half_pin_width_mm: float
    length_mm: float
    thickness_mm: float
    board_width_mm: float

    @property
    def tail_width_mm(self) -> float:
        """Width of a tail at its end."""
        pins = (self.count - 1) * self.pin_width_mm + 2 * self.half_pin_width_mm
        return (self.board_width_mm - pins) / self.count

    @property
    def splay_mm(self) -> float:
        """How much a tail narrows on each side over its length."""
        return self.length_mm / self.slope

    def tails(self) -> tuple[Solid, ...]:
        """The tails from the front edge on."""
        width, splay = self.tail_width_mm, self.splay_mm
        lows = [self.half_pin_width_mm + place * self._pitch for place in range(self.count)]
        return tuple(
            self._slice((low, low + width), (low + splay, low + width - splay)) for low in lows
        )

    def pins(self) -> tuple[Solid, ...]:
        """The half pin at the front edge, the full pins, and the half pin at the back edge."""
        wide, splay = self.board_width_mm, self.splay_mm
        found = []
        for place in range(self.count + 1):
            end = self.half_pin_width_mm + place * self._pitch
            start = end - self.pin_width_mm
            is_first, is_last = place == 0, place == self.count
            at_end = (0.0 if is_first else start, wide if is_last else end)
            at_neck = (0.0 if is_first else start - splay, wide if is_last else end + splay)
            found.append(self._slice(at_end, at_neck))
        return tuple(found)

    def require_necks(self) -> None:
        """Raise RuleBroken where the tails run to nothing."""
        if self.tail_width_mm - 2 * self.splay_mm >= LEAST_NECK_MM - 1e-9:
            return
        step = self.pin_width_mm + 2 * self.splay_mm + LEAST_NECK_MM
        room = self.board_width_mm - 2 * self.half_pin_width_mm + self.pin_width_mm
        most = floor(room / step + 1e-9)
        if 1 <= most < self.count:
            raise RuleBroken(
                "tail_count",
                f"The tails run to nothing at the neck; there is room for {most} here.",
                nearest=most,
            )
        spare = self.tail_width_mm - LEAST_NECK_MM
        raise RuleBroken(
            "slope",
            "The tails run to nothing at the neck; make the slope steeper (1 in more) "
            "or the pins narrower.",
            nearest=2 * self.length_mm / spare if spare > 0 else None,
        )

    def dimensions(self) -> tuple[Dimension, ...]:
        """Length, width and neck of the first tail, and the half pin before it."""
        end, top, first = -self.length_mm, self.thickness_mm, self.half_pin_width_mm
        last = first + self.tail_width_mm
        return (
            Dimension.between("tail length", (end, top, 0), (0, top, 0), View.TOP),
            Dimension.between("tail width", (end, top, first), (end, top, last), View.TOP),
            Dimension.between(
                "tail neck",
                (0, top, first + self.splay_mm),
                (0, top, last - self.splay_mm),
                View.TOP,
            ),
            Dimension.between("half pin", (end, top, 0), (end, top, first), View.TOP),
        )

    def advice(self) -> tuple[Advice, ...]:
        """Slope and pins against the usual."""
        slopes = dovetail_slopes()
        least, most = min(rule.one_in for rule in slopes), max(rule.one_in for rule in slopes)
        advice = []
        if not least - 1e-9 <= self.slope <= most + 1e-9:
            advice.append(
                Advice(
                    text=f"The slope is outside the usual 1 in {least:g} to 1 in {most:g}.",
                    reason="A flat slope slips out and a sharp one has weak short grain.",
                    source="; ".join(dict.fromkeys(rule.source for rule in slopes)),
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

    @property
    def _pitch(self) -> float:
        return self.tail_width_mm + self.pin_width_mm

    def _slice(self, at_end: tuple[float, float], at_neck: tuple[float, float]) -> Solid:
        """A prism through the tail board from its z spans at the tails' end and neck."""
        end = -self.length_mm
        outline = (
            (end, 0, at_end[0]),
            (0, 0, at_neck[0]),
            (0, 0, at_neck[1]),
            (end, 0, at_end[1]),
        )
        return Solid.prism(outline, (0.0, self.thickness_mm, 0.0))


def usual_tails(
    width_mm: float, length_mm: float, given: Mapping[str, float | int | str | Decimal]
) -> dict[str, Any]:
    """One tail for every 40 mm, slim pins, 1 in 8 unless a neck would be under half its tail.

    Source: common practice, no source.
    """
    count = int(given.get("tail_count", min(MOST_TAILS, max(1, round(width_mm / 40)))))
    pin = float(given.get("pin_width_mm", min(length_mm * 0.3, width_mm / count / 4)))
    half_pin = float(given.get("half_pin_width_mm", pin))
    tail = (width_mm - (count - 1) * pin - 2 * half_pin) / count
    slope_of_half_neck = 4 * length_mm / tail if tail > 0 else 0.0
    return {
        "tail_count": count,
        "slope": max(USUAL_SLOPE, slope_of_half_neck),
        "pin_width_mm": pin,
        "half_pin_width_mm": half_pin,
    }


def require_corner(a: Section, b: Section) -> None:
    """Raise RuleBroken where two boards cannot be dovetailed at a corner."""
    if abs(a.width_mm - b.width_mm) > 1e-6:
        raise RuleBroken(
            "b/width_mm",
            "Both boards of a dovetailed corner must be of one width.",
            nearest=a.width_mm,
        )
    if a.thickness_mm > b.length_mm:
        raise RuleBroken(
            "b/length_mm",
            "The tail board is shorter than the corner is deep.",
            nearest=a.thickness_mm,
        )
    if b.thickness_mm > a.length_mm:
        raise RuleBroken(
            "a/length_mm",
            "The pin board is shorter than the corner is deep.",
            nearest=b.thickness_mm,
        )
