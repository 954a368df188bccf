"""Search from a plan at hand: its start times, shifted here and there, are the next rule.

A plan's own starts, fed back as keys, give that plan again; moving an order forward, swapping two
jobs or shaking a few gives a neighbour. Better neighbours, and now and then a slightly worse one,
become the plan to go on from.
"""

from math import exp
from random import Random

from shop.core.plan.dispatch import Placement
from shop.core.plan.floor import Floor

HEAT = 0.02


class Neighbours:
    """Proposes keys near the current plan and decides what becomes the current plan."""

    def __init__(self, floor: Floor, seed: int) -> None:
        self.floor = floor
        self.random = Random(seed)
        self.members: dict[int, list[int]] = {}
        for index, order in enumerate(floor.in_order):
            self.members.setdefault(order, []).append(index)
        self.keys: list[float] = []
        self.main = 0.0
        self.span = 1.0

    def begin(self, placement: Placement, main: float) -> None:
        """Takes a plan as the current one."""
        self.keys = [float(start) for start in placement.start]
        self.span = max(self.keys, default=0.0) + 1.0
        self.main = main

    def propose(self) -> list[float]:
        """The keys of a neighbour."""
        random, keys = self.random, list(self.keys)
        kind = random.random()
        if kind < 0.4:
            members = self.members[random.choice([*self.members])]
            shift = random.gauss(0.0, 0.15) * self.span
            for i in members:
                keys[i] += shift
        elif kind < 0.6:
            i, j = random.randrange(len(keys)), random.randrange(len(keys))
            keys[i], keys[j] = keys[j], keys[i]
        elif kind < 0.8:
            i = random.randrange(len(keys))
            keys[i] += random.gauss(0.0, 0.1) * self.span
        else:
            begin = random.random() * self.span
            width = self.span * 0.1
            for i, key in enumerate(keys):
                if begin <= key < begin + width:
                    keys[i] += random.gauss(0.0, 0.3) * width
        return keys

    def consider(self, keys: list[float], main: float, left: float) -> None:
        """Goes on from these keys when they are good enough; `left` is the share of time left."""
        heat = HEAT * left * left * max(self.main, 1.0)
        worse = main - self.main
        if worse <= 0 or (heat > 0 and self.random.random() < exp(-worse / heat)):
            self.keys, self.main = keys, main
