"""Anneals a plan in rounds, each longer than the last and each from the best so far.

So the search needs no end known beforehand: whenever it is stopped the last cooling is not far
back, and the same number of tries gives the same plan. Two lanes with numbers of their own go side
by side and meet after every round.
"""

from math import inf
from types import ModuleType
from typing import Any

import numpy as np

from shop.core.plan import kernel
from shop.core.plan.dispatch import Placement
from shop.core.plan.floor import Floor
from shop.core.plan.lanes import LANES, first_random, side_by_side
from shop.core.plan.problem import Goal
from shop.core.plan.tables import found_in, store_of

RUN, PLAIN_RUN = 60_000, 3_000
"""Jobs placed between two looks at the clock."""
MARKS = 24
FIRST_ROUND = 400
LONGER = 1.5
HEAT, SPAN_HEAT, MOST_HEAT = 6.0, 1.0, 0.2
"""The heat of a round's begin, as a share of what the plan is worth, times the number of jobs."""


class Search:
    """A search that goes on from a placement, some tries at a time.

    `is_compiled` says whether the kernel runs compiled; the result is the same.
    """

    def __init__(
        self, floor: Floor, goal: Goal, placement: Placement, *, seed: int, is_compiled: bool
    ) -> None:
        # Keeping marks costs more than it saves where few lists are tried.
        self.store = store_of(floor, goal, placement, MARKS if is_compiled else 1)
        self.engine: ModuleType = kernel
        self.is_compiled = is_compiled
        if is_compiled:
            from shop.core.plan.compiled import compiled

            self.engine = compiled("kernel")
        self.lanes = [self._lane(first_random(seed, lane), lane == 1) for lane in range(LANES)]
        self.is_idle = self.store.whole[kernel.LISTED] == 0
        self.round, self.done = FIRST_ROUND, 0
        self.known = (inf, inf, inf)
        self.most = max(LANES, (RUN if is_compiled else PLAIN_RUN) // max(1, len(floor.jobs)))
        if not self.is_idle:
            for whole, real in self.lanes:
                self.engine.begin(whole, real)
            self._meet()

    def news(self) -> Placement | None:
        """The best placement, if it is better than when it was last asked for."""
        best = min(self.lanes, key=_rank)
        if _rank(best) >= self.known or best[1][kernel.BEST_MAIN] >= kernel.NEVER:
            return None
        self.known = _rank(best)
        return found_in(self.store, best[0])

    def run(self, tries: int) -> int:
        """Goes on for so many tries in all lanes together, or as many as take a short while.

        Gives the number of tries really made.
        """
        each = max(1, min(min(tries, self.most) // LANES, self.round - self.done))
        hot, cold = (self._heat(self.done + more) for more in (0, each))
        side_by_side(
            self.lanes, lambda lane: self.engine.anneal(*lane, each, hot, cold), self.is_compiled
        )
        self.done += each
        if self.done >= self.round:
            self._meet()
            self.round, self.done = int(self.round * LONGER), 0
        return each * LANES

    def _lane(self, random: int, is_tied: bool) -> tuple[Any, Any]:
        """Numbers of its own; a tied lane keeps every mode until the search lets it choose."""
        store = self.store
        whole: Any = store.whole + [0] * (
            store.size - len(store.whole) if not self.is_compiled else 0
        )
        real: Any = [*store.real]
        if self.is_compiled:
            whole = np.zeros(store.size, dtype=np.int64)
            whole[: len(store.whole)] = store.whole
            real = np.array(real)
        whole[kernel.RANDOM] = random
        if is_tied:
            for job in store.jobs:
                whole[job + kernel.PIN0] = whole[job + kernel.MODE0]
        return whole, real

    def _heat(self, done: int) -> float:
        left = 1 - done / self.round
        worth = min(_rank(lane)[0] for lane in self.lanes)
        heat = SPAN_HEAT if self.store.whole[kernel.MAKESPAN] else HEAT
        share = min(MOST_HEAT, heat / max(1, self.store.whole[kernel.LISTED]))
        return float(share * max(worth, 1.0) * left * left)

    def _meet(self) -> None:
        """Every lane goes on from the best list of all."""
        best, real = min(self.lanes, key=_rank)
        if real[kernel.BEST_MAIN] >= kernel.NEVER:
            return
        for lane in self.lanes:
            self.engine.follow(lane[0], best)
            self.engine.begin(*lane)


def _rank(lane: tuple[Any, Any]) -> tuple[float, float, float]:
    real = lane[1]
    return (
        float(real[kernel.BEST_MAIN]),
        float(real[kernel.BEST_SPAN]),
        float(real[kernel.BEST_SUM]),
    )
