"""How sure a total is: a lognormal fitted to the mean and the variance of a sum."""

import math
import sys
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

_NORMAL = NormalDist()


@dataclass(frozen=True, slots=True, kw_only=True)
class Distribution:
    """A total that is not certain: `floor` is its certain part, the rest is lognormal.

    `p80` is the value that four totals in five stay under.
    """

    mean: float
    sd: float
    p50: float
    p80: float
    p90: float
    floor: float = 0.0

    def at(self, share: float) -> float:
        """The value that this share of totals stays under, from 0 to 1 without the ends."""
        if self.sd <= 0:
            return self.mean
        mu, sigma = _lognormal(self.mean - self.floor, self.sd)
        return self.floor + math.exp(mu + sigma * _NORMAL.inv_cdf(share))

    @property
    def cautious(self) -> float:
        """P80, but of a spread so wide that its P80 sinks again, the greatest P80 of its mean.

        P80 of a lognormal of one mean grows with the deviation of the logarithm only as far as
        the normal quantile of 0.8; beyond it, more doubt would ask for less.
        """
        if self.sd <= 0:
            return self.mean
        mean = self.mean - self.floor
        widest = _NORMAL.inv_cdf(0.8)
        sigma = min(_lognormal(mean, self.sd)[1], widest)
        return self.floor + mean * math.exp(widest * sigma - sigma**2 / 2)

    def chance_above(self, value: float) -> float:
        """The chance that the total comes out above a value."""
        if self.sd <= 0:
            return 1.0 if self.mean > value else 0.0
        if value <= self.floor:
            return 1.0
        mu, sigma = _lognormal(self.mean - self.floor, self.sd)
        return 1 - _NORMAL.cdf((math.log(value - self.floor) - mu) / sigma)


@dataclass(frozen=True, slots=True, kw_only=True)
class Moments:
    """Mean and variance of a sum of independent amounts that are all above zero."""

    mean: float = 0.0
    variance: float = 0.0

    def plus(self, other: "Moments") -> "Moments":
        """The moments of the sum of two independent totals."""
        return Moments(mean=self.mean + other.mean, variance=self.variance + other.variance)

    def under_common_effect(self, spread: float) -> "Moments":
        """The same total when one factor, of mean 1, makes all of it easier or harder."""
        raised = math.exp(spread**2)
        return Moments(
            mean=self.mean, variance=raised * (self.variance + self.mean**2) - self.mean**2
        )


@lru_cache(maxsize=256)
def relative_variance(spread: float) -> float:
    """Variance over squared mean of a lognormal amount whose logarithm has this deviation."""
    return math.expm1(spread**2)


def variance_of(mean: float, spread: float) -> float:
    """Variance of a lognormal amount; `spread` is the standard deviation of its logarithm."""
    return mean**2 * relative_variance(spread)


def distribution_of(random: Moments, floor: float = 0.0) -> Distribution:
    """The distribution of a certain part and a random one, by matching two moments.

    A spread that a float cannot tell from none beside the total is none.

    Source: Fenton, IRE Transactions on Communications Systems 8 (1960), from memory, unverified.
    """
    mean = floor + random.mean
    sd = math.sqrt(max(0.0, random.variance))
    if mean <= floor or sd <= mean * sys.float_info.epsilon:
        return Distribution(mean=mean, sd=0.0, p50=mean, p80=mean, p90=mean, floor=mean)
    mu, sigma = _lognormal(random.mean, sd)
    p50, p80, p90 = (
        floor + math.exp(mu + sigma * _NORMAL.inv_cdf(share)) for share in (0.5, 0.8, 0.9)
    )
    return Distribution(mean=mean, sd=sd, p50=p50, p80=p80, p90=p90, floor=floor)


def _lognormal(mean: float, sd: float) -> tuple[float, float]:
    squared = math.log1p((sd / mean) ** 2)
    return math.log(mean) - squared / 2, math.sqrt(squared)
