"""Anneals a plan in rounds, each longer than the last and each from the best so far.

So the search needs no end known beforehand: whenever it is stopped the last cooling is not far
back, and the same number of tries gives the same plan. Two lanes with numbers of their own go side
by side and meet after every round.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import cycle
from math import inf
from types import ModuleType
from typing import Any

from shop.core.plan import kernel
from shop.core.plan.again import Line
from shop.core.plan.dispatch import Placement
from shop.core.plan.floor import Floor
from shop.core.plan.lanes import LANES, first_random, side_by_side
from shop.core.plan.levels import levels_of
from shop.core.plan.measure import late_in
from shop.core.plan.problem import Goal
from shop.core.plan.scarcity import scarcity
from shop.core.plan.tables import MARKS, found_in, store_of, with_levels

RUN, PLAIN_RUN = 60_000, 3_000
"""Jobs placed between two looks at the clock."""
FIRST_ROUND = 2000
LATE_DAYS = 0.5
"""The heat of a round's begin: so late an order of mean weight."""
HEAT, MOST_HEAT = 1.0, 0.2
"""The same where no order is due, as a share of what the plan is worth, times the number of jobs."""
MENDING, MENDING_ROUND, HOTTER, LONGER = 0.02, 400, 2.0, 1.6
"""Near a plan that is known: the share of that heat, the first round, and how much hotter and longer
each is than the last."""
FEW_LATE = 6
"""With no more orders late, one lane heeds above all what brings them nearer."""
SPARED_MIN = (0, 30, 60, 120)
"""How much later a job may end for the sake of the scarcest hand, in what a search begins with."""


def engine_for(is_compiled: bool) -> ModuleType:
    """The kernel, compiled or as it stands."""
    if not is_compiled:
        return kernel
    from shop.core.plan.compiled import compiled

    return compiled("kernel")


@dataclass(frozen=True, slots=True)
class Temper:
    """What a lane heeds: by `slip` that an order slips beyond a level, and a share of the heat.

    Each round is `longer` than the last, by less where what few orders lack is soon found or not.
    """

    slip: float
    heat: float
    longer: float


WIDE, CLOSE, PLAIN = Temper(1.0, 1.0, 1.6), Temper(4.0, 0.2, 1.25), Temper(0.0, 1.0, 1.6)


class Search:
    """A search that goes on from a placement, some tries at a time.

    `is_compiled` says whether the kernel runs compiled; the result is the same. From `lines`
    it goes on instead of from the placement: close to them at first, then ever further away.
    """

    def __init__(
        self,
        floor: Floor,
        goal: Goal,
        placement: Placement,
        *,
        seed: int,
        is_compiled: bool,
        lines: Sequence[Line] = (),
    ) -> None:
        # Keeping marks costs more than it saves where few lists are tried.
        marks = MARKS if is_compiled else 1
        self.store = lines[0].store if lines else store_of(floor, goal, placement, marks)
        self.has_levels = goal is Goal.LATENESS and any(due is not None for due in floor.due)
        if self.has_levels:
            self.store = with_levels(self.store, levels_of(floor))
        self.engine = engine_for(is_compiled)
        self.is_compiled = is_compiled
        self.lanes = [self._lane(first_random(seed, lane), lane == 1) for lane in range(LANES)]
        self.is_idle = self.store.whole[kernel.LISTED] == 0
        self.round, self.done = FIRST_ROUND, 0
        self.is_mending = bool(lines)
        self.known = (inf, inf, inf, inf)
        self.hottest = self.most_heat = 0.0
        self.floor, self.tempers = floor, [PLAIN] * LANES
        self.most = max(LANES, (RUN if is_compiled else PLAIN_RUN) // max(1, len(floor.jobs)))
        if not self.is_idle:
            self._temper(placement)
            self._start(lines)

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
            [*zip(self.lanes, self.tempers, strict=True)],
            lambda one: self.engine.anneal(*one[0], each, hot * one[1].heat, cold * one[1].heat),
            self.is_compiled,
        )
        self.done += each
        if self.done >= self.round:
            self._meet()
            longer = LONGER if self.is_mending else self.tempers[0].longer
            self.round, self.done = int(self.round * longer), 0
            self.hottest = min(self.most_heat, self.hottest * HOTTER)
        return each * LANES

    def _start(self, lines: Sequence[Line]) -> None:
        free, tied = self.lanes
        if not lines:
            self._begin(free)
            self.engine.begin(*tied)
            self.most_heat = self.hottest = self._hottest()
            return
        for lane, line in zip(self.lanes, cycle(lines), strict=False):
            self.engine.follow(lane[0], line.whole)
        side_by_side(self.lanes, lambda lane: self.engine.begin(*lane), self.is_compiled)
        self.most_heat = self._hottest()
        self.hottest = self.most_heat * MENDING
        self.round = MENDING_ROUND

    def _lane(self, random: int, is_tied: bool) -> tuple[Any, Any]:
        """Numbers of its own; a tied lane keeps every mode until the search lets it choose."""
        whole, real = self.store.numbers(is_compiled=self.is_compiled)
        whole[kernel.RANDOM] = random
        if is_tied:
            for job in self.store.jobs:
                whole[job + kernel.PIN0] = whole[job + kernel.MODE0]
        return whole, real

    def _begin(self, lane: tuple[Any, Any]) -> None:
        """The list as it is, with scarce hands spared as much as turns out best."""
        falls = scarcity(self.floor)
        for minutes in SPARED_MIN:
            ticks = timedelta(minutes=minutes) / self.floor.ticks.step
            for resource, share in zip(self.store.resources, falls, strict=True):
                lane[0][resource + kernel.BIAS0] = lane[0][resource + kernel.BIAS1] = int(
                    ticks * share
                )
            self.engine.begin(*lane)
        self._take_up(lane, lane)

    def _hottest(self) -> float:
        """What a plan may be worth less, at first, to be gone on from."""
        whole, real = self.store.whole, self.store.real
        weights = real[kernel.REALS : kernel.REALS + whole[kernel.ORDER_COUNT]]
        if not whole[kernel.MAKESPAN] and any(weights):
            day = timedelta(days=1) / self.floor.ticks.step
            return LATE_DAYS * day * sum(weights) / len(weights)
        worth = min(_rank(lane)[0] for lane in self.lanes)
        return min(MOST_HEAT, HEAT / max(1, whole[kernel.LISTED])) * max(worth, 1.0)

    def _temper(self, placement: Placement) -> None:
        """What each lane heeds, by how many orders are late; the tied one always looks wide."""
        if self.has_levels:
            late = late_in(self.floor, placement.end)
            self.tempers = [CLOSE if len(late) <= FEW_LATE else WIDE, WIDE]
        for (_, real), temper in zip(self.lanes, self.tempers, strict=True):
            real[kernel.SLIP_PRICE] = temper.slip

    def _heat(self, done: int) -> float:
        left = 1 - done / self.round
        return self.hottest * left * left

    def _meet(self) -> None:
        """Every lane goes on from the best list of all."""
        best = min(self.lanes, key=_rank)
        if best[1][kernel.BEST_MAIN] < kernel.NEVER:
            self._temper(found_in(self.store, best[0]))
        for lane in self.lanes:
            self._take_up(lane, best)

    def _take_up(self, lane: tuple[Any, Any], best: tuple[Any, Any]) -> None:
        if best[1][kernel.BEST_MAIN] < kernel.NEVER:
            self.engine.follow(lane[0], best[0])
            self.engine.begin(*lane)


def _rank(lane: tuple[Any, Any]) -> tuple[float, float, float, float]:
    real = lane[1]
    return (
        float(real[kernel.BEST_MAIN]),
        float(real[kernel.BEST_SLIP]),
        float(real[kernel.BEST_SPAN]),
        float(real[kernel.BEST_SUM]),
    )
