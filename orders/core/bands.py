"""Plausibility bands: minutes that are flagged, never refused, when they fall outside."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from orders.core.figures import rows
from orders.core.times import Method, TimedOperation


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeBand:
    """What the minutes of some operations of a joint, without set-up, are usually between.

    An empty tuple of operations means all of the joint's operations together.
    """

    label: str
    joints: tuple[str, ...]
    operations: tuple[str, ...]
    method: Method
    least_min: float
    most_min: float
    source: str

    def minutes(self, timed: Sequence[TimedOperation]) -> float | None:
        """The minutes per piece that the band speaks of, if it speaks of any of them."""
        chosen = [
            operation.each_min
            for operation in timed
            if operation.joint in self.joints
            and self.method in (operation.method, Method.BOTH)
            and (not self.operations or operation.code in self.operations)
        ]
        return sum(chosen) if chosen else None


@dataclass(frozen=True, slots=True, kw_only=True)
class OutsideBand:
    """Minutes that fall outside their band, and the band."""

    band: TimeBand
    minutes: float

    @property
    def sentence(self) -> str:
        """What to look at."""
        return (
            f"{self.minutes:.1f} min for a {self.band.label} is outside the usual "
            f"{self.band.least_min:g} to {self.band.most_min:g} min; check the standard time."
        )


@lru_cache(maxsize=1)
def time_bands() -> tuple[TimeBand, ...]:
    """The bands, wide on purpose."""
    return tuple(
        TimeBand(
            label=row["label"],
            joints=tuple(row["joints"].split()) or ("",),
            operations=() if row["operations"] == "*" else tuple(row["operations"].split()),
            method=Method(row["method"]),
            least_min=float(row["least_min"]),
            most_min=float(row["most_min"]),
            source=row["source"],
        )
        for row in rows("time_bands.csv")
    )


def outside_bands(timed: Sequence[TimedOperation]) -> tuple[OutsideBand, ...]:
    """The bands that the operations of one joint, or one order, fall outside."""
    return tuple(
        OutsideBand(band=band, minutes=minutes)
        for band in time_bands()
        if (minutes := band.minutes(timed)) is not None
        and not band.least_min <= minutes <= band.most_min
    )
