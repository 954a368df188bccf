"""A hand that minds a running machine while it does light work nearby: when it may, and its pay."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum

from shop.core.spans import Span, length


class Attention(StrEnum):
    """How much of a hand a piece of work takes."""

    WHOLE = "whole"
    MINDED = "minded"
    LIGHT = "light"


@dataclass(frozen=True, slots=True)
class Share:
    """What a piece of work takes of a hand, and the area in which it leaves something of it."""

    attention: Attention = Attention.WHOLE
    area: str = ""

    def goes_with(self, other: Share) -> bool:
        """Whether one hand may do both at once: one is minded, the other light, in one area."""
        kinds = {self.attention, other.attention}
        return kinds == {Attention.MINDED, Attention.LIGHT} and self.area == other.area


WHOLE = Share()


def share_at(area: str, *, may_be_left: bool, is_light: bool) -> Share:
    """What one hand's work on a station takes of it; a station in no area is near nothing."""
    if not area or not (may_be_left or is_light):
        return WHOLE
    return Share(Attention.MINDED if may_be_left else Attention.LIGHT, area)


def unpaid(run: Span, light: Iterable[Span]) -> timedelta:
    """The part of a minded run in which its hand is paid for light work.

    A minute of a hand is paid once. What was worked lightly beside a run is paid to the light work;
    the run keeps its length, by which the machine is charged and its times are learned.
    """
    return length((max(a, run[0]), min(b, run[1])) for a, b in light if a < run[1] and b > run[0])


def while_running(machines: Iterable[str]) -> str:
    """When light work is done, in words: beside which machines; "" beside none."""
    names = list(dict.fromkeys(machines))
    if not names:
        return ""
    return f"while the {' and the '.join(names)} {'run' if len(names) > 1 else 'runs'}"
