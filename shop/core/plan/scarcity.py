"""Who can be spared: how much work falls to each hand when it is shared out as evenly as it can be."""

from collections import Counter
from math import exp

from shop.core.plan.floor import Floor

ROUNDS, SHARPNESS = 30, 8.0


def scarcity(floor: Floor) -> list[float]:
    """For each resource the work that falls to it, from 0 to 1 for the hand with the most.

    Every job is shared out among the crews that can do it, most to those with little so far, again
    and again until that settles. Stations and gear have 0: a crew is chosen for its hands.
    """
    work: Counter[tuple[tuple[int, ...], ...]] = Counter()
    for job in floor.jobs:
        work[tuple(dict.fromkeys(mode.hands for mode in job.modes))] += job.least_work
    load = [0.0] * len(floor.capacity)
    for _ in range(ROUNDS):
        most, falls = max(load, default=0.0) or 1.0, [0.0] * len(load)
        for crews, ticks in work.items():
            shares = [exp(-SHARPNESS * _mean(load, hands) / most) for hands in crews]
            for hands, share in zip(crews, shares, strict=True):
                for hand in hands:
                    falls[hand] += ticks * share / sum(shares)
        load = [(old + new) / 2 for old, new in zip(load, falls, strict=True)]
    most = max(load, default=0.0) or 1.0
    return [ticks / most for ticks in load]


def _mean(load: list[float], hands: tuple[int, ...]) -> float:
    return sum(load[hand] for hand in hands) / max(1, len(hands))
