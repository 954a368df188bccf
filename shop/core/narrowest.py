"""The narrowest place of a shop: who or what has the most of its open time taken."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

FEW_MIN = 60.0
"""So little work in all makes no narrow place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A hand, or a station of a kind, with the minutes planned there and those it is open."""

    name: str
    kind: str = ""
    load_min: float
    open_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Narrowest:
    """A hand, or all stations of a kind together, since work goes to any of them; minutes."""

    name: str
    kind: str
    load_min: float
    open_min: float

    @property
    def percent(self) -> int:
        """How much of the open time is taken."""
        return round(100 * self.load_min / self.open_min)


def narrowest(places: Iterable[Place]) -> Narrowest | None:
    """The fullest of all; None where hardly anything is planned."""
    alike: dict[str, list[Place]] = {}
    for number, place in enumerate(places):
        alike.setdefault(place.kind or f"hand {number}", []).append(place)
    found = [
        Narrowest(
            name=group[0].name if len(group) == 1 else f"{group[0].kind}, all {len(group)}",
            kind=group[0].kind,
            load_min=sum(place.load_min for place in group),
            open_min=sum(place.open_min for place in group),
        )
        for group in alike.values()
    ]
    able = [each for each in found if each.load_min > FEW_MIN and each.open_min > 0]
    return max(able, key=lambda each: each.load_min / each.open_min, default=None)
