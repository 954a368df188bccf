"""A time study: from minutes that were watched to a standard time, and how often to watch."""

import math
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist

from orders.core.errors import RuleBroken, RulesBroken

LONGEST_MIN = 1e6
MOST_WATCHED = 1_000_000


class AllowanceOf(StrEnum):
    """What an allowance for rest and personal needs is a share of."""

    WORK = "work"
    SHIFT = "shift"


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """Cycles of one operation as they were watched.

    `rating` is the pace, 1 for the usual; `allowance` a share (0.15 for 15 %) of the work or of the
    whole shift. `within_share` of the mean or `within_min` minutes is how near the mean is wanted.
    """

    mean_min: float
    sd_min: float = 0.0
    rating: float = 1.0
    allowance: float = 0.0
    allowance_of: AllowanceOf = AllowanceOf.WORK
    confidence: float = 0.95
    within_share: float | None = None
    within_min: float | None = None

    def faults(self) -> list[RuleBroken]:
        """What cannot be."""
        most = 1.0 if self.allowance_of is AllowanceOf.SHIFT else 10.0
        checks = {
            "mean_min": (0 < self.mean_min <= LONGEST_MIN, "Give minutes of more than 0."),
            "sd_min": (0 <= self.sd_min <= LONGEST_MIN, "A spread is 0 or more."),
            "rating": (0 < self.rating <= 10, "A rating is more than 0; 1 is the usual pace."),
            "allowance": (
                0 <= self.allowance < most,
                "An allowance is 0 or more; of a shift it stays under 1.",
            ),
            "confidence": (0 < self.confidence < 1, "Give a share between 0 and 1, as 0.95."),
            "within_share": (_near(self.within_share), "Give more than 0, or leave it out."),
            "within_min": (_near(self.within_min), "Give more than 0, or leave it out."),
        }
        return [RuleBroken(field, said) for field, (holds, said) in checks.items() if not holds]


@dataclass(frozen=True, slots=True, kw_only=True)
class Studied:
    """What follows: `observations` are the cycles to watch for the nearness asked, if any was."""

    normal_min: float
    standard_min: float
    observations: int | None = None


def _near(value: float | None) -> bool:
    return value is None or 0 < value <= LONGEST_MIN


def studied(watched: Watched) -> Studied:
    """The normal time, the standard time, and how many cycles to watch.

    Raises RulesBroken for figures that cannot be, RuleBroken where more than a million cycles
    would be needed. Source: any text on work measurement; sample size n = (z s / e)^2.
    """
    if faults := watched.faults():
        raise RulesBroken(faults)
    normal = watched.mean_min * watched.rating
    if watched.allowance_of is AllowanceOf.SHIFT:
        standard = normal / (1 - watched.allowance)
    else:
        standard = normal * (1 + watched.allowance)
    return Studied(normal_min=normal, standard_min=standard, observations=_observations(watched))


def _observations(watched: Watched) -> int | None:
    """The cycles to watch for the nearest that was asked."""
    share = watched.within_share
    asked = [watched.within_min, None if share is None else share * watched.mean_min]
    errors = [error for error in asked if error is not None]
    if not errors:
        return None
    z = NormalDist().inv_cdf((1 + watched.confidence) / 2)
    needed = (z * watched.sd_min / min(errors)) ** 2
    if needed > MOST_WATCHED:
        raise RuleBroken("within_min", "Nobody watches a million cycles; ask for less.")
    return max(1, math.ceil(needed))
