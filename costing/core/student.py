"""Student's t distribution for whole degrees of freedom."""

import math
from statistics import NormalDist

_NORMAL = NormalDist()
_NORMAL_FROM = 200


def t_cdf(value: float, freedom: int) -> float:
    """The chance of a value below this one.

    Source: Abramowitz & Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4.
    """
    theta = math.atan2(value, math.sqrt(freedom))
    cosine, sine = math.cos(theta), math.sin(theta)
    is_odd = freedom % 2 == 1
    term = cosine if is_odd else 1.0
    series = 0.0 if freedom == 1 else term
    start = 2 if is_odd else 1
    for step in range(start, freedom - 2, 2):
        term *= cosine**2 * step / (step + 1)
        series += term
    central = 2 / math.pi * (theta + sine * series) if is_odd else sine * series
    return 0.5 + central / 2


def t_quantile(share: float, freedom: int) -> float:
    """The value that this share of draws stays below.

    Source: beyond 200 degrees of freedom, Abramowitz & Stegun 26.7.5; below, the inverse of
    `t_cdf` by bisection.
    """
    if freedom < 1 or not 0 < share < 1:
        raise ValueError("a t quantile needs a share between 0 and 1 and 1 degree of freedom")
    z = _NORMAL.inv_cdf(share)
    if freedom > _NORMAL_FROM:
        return z + (z**3 + z) / (4 * freedom) + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * freedom**2)
    low, high = -1.0, 1.0
    while t_cdf(low, freedom) > share:
        low *= 2
    while t_cdf(high, freedom) < share:
        high *= 2
    for _ in range(100):
        middle = (low + high) / 2
        if t_cdf(middle, freedom) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2
