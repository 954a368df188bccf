"""Exposure: where work will stand, and the lowest glue class that will do there."""

from collections.abc import Mapping
from enum import StrEnum
from functools import lru_cache
from types import MappingProxyType

from orders.core.errors import RuleBroken
from orders.core.figures import rows


class Exposure(StrEnum):
    """Where the work will stand, in plain words."""

    DRY_INTERIOR = "dry-interior"
    DAMP_INTERIOR = "damp-interior"
    WET_INTERIOR = "wet-interior"
    SHELTERED_EXTERIOR = "sheltered-exterior"
    WEATHER_EXTERIOR = "weather-exterior"

    @property
    def label(self) -> str:
        """The exposure in two or three words."""
        return LABELS[self]

    @property
    def meaning(self) -> str:
        """The exposure as a sentence for a screen or a quotation."""
        return MEANINGS[self]


class DurabilityClass(StrEnum):
    """Durability of a non-structural wood glue, D1 the least.

    Source: EN 204:2016, durability classes; meanings second-hand, from two transcriptions.
    """

    D1 = "D1"
    D2 = "D2"
    D3 = "D3"
    D4 = "D4"

    @property
    def meaning(self) -> str:
        """What the class stands up to."""
        return CLASS_MEANINGS[self]

    def covers(self, other: "DurabilityClass") -> bool:
        """Whether this class is at least as durable as the other."""
        return self.value >= other.value


LABELS: Mapping[Exposure, str] = MappingProxyType(
    {
        Exposure.DRY_INTERIOR: "Dry interior",
        Exposure.DAMP_INTERIOR: "Damp interior",
        Exposure.WET_INTERIOR: "Wet interior",
        Exposure.SHELTERED_EXTERIOR: "Sheltered exterior",
        Exposure.WEATHER_EXTERIOR: "Exterior in the weather",
    }
)

MEANINGS: Mapping[Exposure, str] = MappingProxyType(
    {
        Exposure.DRY_INTERIOR: "Indoors and dry; the timber stays at 15 % moisture or less.",
        Exposure.DAMP_INTERIOR: (
            "Indoors, now and then damp or splashed, as in a kitchen or a hall."
        ),
        Exposure.WET_INTERIOR: (
            "Indoors, often wet for a short time, as in a bathroom or a worktop."
        ),
        Exposure.SHELTERED_EXTERIOR: "Outdoors under a roof, out of rain and weather.",
        Exposure.WEATHER_EXTERIOR: "Outdoors in the weather, with a sound surface coating.",
    }
)

CLASS_MEANINGS: Mapping[DurabilityClass, str] = MappingProxyType(
    {
        DurabilityClass.D1: "indoors, timber at most 15 % moisture",
        DurabilityClass.D2: (
            "indoors, occasional short wetting or damp air, at most 18 % moisture"
        ),
        DurabilityClass.D3: ("indoors, frequent short wetting or damp air; outdoors, sheltered"),
        DurabilityClass.D4: "indoors with frequent long wetting; outdoors in the weather, coated",
    }
)

LOWEST: Mapping[Exposure, DurabilityClass] = MappingProxyType(
    {
        Exposure.DRY_INTERIOR: DurabilityClass.D1,
        Exposure.DAMP_INTERIOR: DurabilityClass.D2,
        Exposure.WET_INTERIOR: DurabilityClass.D3,
        Exposure.SHELTERED_EXTERIOR: DurabilityClass.D3,
        Exposure.WEATHER_EXTERIOR: DurabilityClass.D4,
    }
)


def lowest_class(exposure: Exposure | str) -> DurabilityClass:
    """The lowest durability class that will do.

    Source: EN 204:2016, meanings of the classes (second-hand); which room is which exposure is
    common practice, no source.
    """
    return LOWEST[Exposure(exposure)]


def taken_class(
    exposure: Exposure | str, chosen: DurabilityClass | str | None = None, reason: str = ""
) -> DurabilityClass:
    """The class to glue with: the lowest that will do unless another is chosen.

    Raises RuleBroken for a class below the lowest without a reason in words.
    """
    exposure = Exposure(exposure)
    lowest = lowest_class(exposure)
    taken = DurabilityClass(chosen) if chosen else lowest
    if not taken.covers(lowest) and not reason.strip():
        raise RuleBroken(
            "glue_class",
            f"{exposure.meaning} This asks for {lowest} or better; choose it, or give the "
            f"reason for {taken}.",
        )
    return taken


@lru_cache(maxsize=1)
def clamp_times_min() -> Mapping[DurabilityClass, float]:
    """Minutes in clamps by glue class, where no particular glue is named.

    Source: the column of that name in orders/data/clamp_times.csv.
    """
    return MappingProxyType(
        {
            DurabilityClass(row["glue_class"]): float(row["clamp_min"])
            for row in rows("clamp_times.csv")
        }
    )
