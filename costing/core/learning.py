"""Learning inside a batch: the second piece of a kind goes quicker than the first.

A slope of 0.9 means that each doubling of the number brings the time down to nine tenths.
"""

import math
from functools import lru_cache

from orders.core.errors import RuleBroken

LOWEST_SLOPE = 0.6
SUMMED_ONE_BY_ONE = 2000


def exponent(slope: float) -> float:
    """The power of the number of pieces; 0 for a slope of 1, which is no learning."""
    if not LOWEST_SLOPE <= slope <= 1:
        raise RuleBroken("learning_slope", "A learning slope lies from 0.6 to 1; 1 is no learning.")
    return math.log2(slope)


def unit_time(first_min: float, number: float, slope: float) -> float:
    """Minutes of the piece of this number, by Crawford's unit theory."""
    return first_min * float(number ** exponent(slope))


@lru_cache(maxsize=4096)
def batch_factor(pieces: int, slope: float) -> float:
    """How many times the first piece's minutes a whole batch takes, by Crawford's unit theory.

    Summed piece by piece at first; beyond that by the Euler-Maclaurin formula.
    """
    power = exponent(slope)
    if power == 0:
        return float(pieces)
    head = min(pieces, SUMMED_ONE_BY_ONE)
    total = math.fsum(number**power for number in range(1, head + 1))
    if pieces > head:
        total += (pieces ** (power + 1) - head ** (power + 1)) / (power + 1)
        total += (pieces**power - head**power) / 2
        total += power * (pieces ** (power - 1) - head ** (power - 1)) / 12
    return total


def cumulative_average(first_min: float, pieces: int, slope: float) -> float:
    """Mean minutes over the first pieces, by Wright's theory."""
    return first_min * float(pieces ** exponent(slope))
