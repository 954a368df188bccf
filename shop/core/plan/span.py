"""Searches for a short makespan where every station takes one job at a time, day and night.

Two lanes climb with numbers of their own and tell each other of their best plans after a fixed
number of tries, so that the same number of tries gives the same plan.
"""

from collections.abc import Iterable
from types import ModuleType
from typing import Any

import numpy as np

from shop.core.plan import critical as c
from shop.core.plan.dispatch import Placement
from shop.core.plan.floor import Floor, Job, Mode
from shop.core.plan.lanes import LANES, first_random, side_by_side
from shop.core.plan.problem import Goal

RUN, PLAIN_RUN = 4_000_000, 20_000
"""Jobs reckoned anew between two looks at the clock."""
ROUND = 60_000
"""Tries of a lane between two meetings."""
PATIENCE = 5_000
"""Tries without a better plan after which a climb ends: with fewer or more, plans were worse."""
BUILT = 4
"""Climbs of a lane that begin at plans built by chance, before any begins between two."""
STAY = 9
"""Tries for which what a change within a row undid may not come back, and up to half as many more.

For a change of station it is half of that; as long as its source says, gaps were half as large
again.
"""
SALTS = 2**28


def fits(floor: Floor, goal: Goal) -> bool:
    """Whether the shop is one that this search knows all about."""
    return goal is Goal.MAKESPAN and all(_is_plain(floor, job) for job in floor.jobs)


def _is_plain(floor: Floor, job: Job) -> bool:
    if job.gear or job.under_way or job.is_batched or job.fixed_start is not None:
        return False
    return all(
        len(mode.uses) <= 1
        and all(floor.capacity[resource] == 1 for resource in mode.uses)
        and mode.calendar >= -1
        and (mode.hours is None or (len(mode.hours.starts) == 1 and mode.hours.starts[0] == 0))
        and not _may_keep_setup(job, mode)
        for mode in job.modes
    )


def _may_keep_setup(job: Job, mode: Mode) -> bool:
    differs = mode.work != mode.work_setup or bool(mode.work_after)
    return mode.shares_setup and job.family != "" and differs


class SpanSearch:
    """A search that goes on from a placement, some tries at a time.

    `is_compiled` says whether the kernel runs compiled; the result is the same.
    """

    def __init__(self, floor: Floor, placement: Placement, *, seed: int, is_compiled: bool) -> None:
        self.is_compiled = is_compiled
        self.engine: ModuleType = c
        if is_compiled:
            from shop.core.plan.compiled import compiled

            self.engine = compiled("critical")
        self.store = _Store(floor, placement)
        self.lanes = [self._lane(first_random(seed, lane)) for lane in range(LANES)]
        self.is_idle = not floor.jobs
        self.known = max(placement.end, default=0)
        self.most = max(LANES, (RUN if is_compiled else PLAIN_RUN) // max(1, len(floor.jobs)))
        self.done = 0
        for lane in self.lanes:
            self.engine.begin(lane)

    def news(self) -> Placement | None:
        """The best placement, if its makespan is less than when it was last asked for."""
        best = min(self.lanes, key=lambda lane: int(lane[c.BEST_SPAN]))
        if best[c.BEST_SPAN] >= self.known:
            return None
        self.known = int(best[c.BEST_SPAN])
        return self.store.found_in(best)

    def run(self, tries: int) -> int:
        """Goes on for so many tries in all lanes together, or as many as take a short while.

        Gives the number of tries really made.
        """
        each = max(1, min(min(tries, self.most) // LANES, ROUND - self.done))
        side_by_side(self.lanes, lambda lane: self.engine.climb(lane, each), self.is_compiled)
        self.done += each
        if self.done >= ROUND:
            self.done = 0
            for lane in self.lanes:
                for other in self.lanes:
                    self.engine.learn(lane, other)
        return each * LANES

    def _lane(self, random: int) -> Any:
        whole = self.store.whole
        lane: Any = np.array(whole, dtype=np.int64) if self.is_compiled else [*whole]
        lane[c.RANDOM] = random
        return lane


class _Store:
    """The numbers that a lane begins with; where the record of each job and first mode begins."""

    def __init__(self, floor: Floor, placement: Placement) -> None:
        count = len(floor.jobs)
        self.whole = [0] * c.HEAD
        first = self._list([0] * (c.JOB * count))[0]
        self.jobs = [first + c.JOB * i for i in range(count)]
        rows = self._rows(floor)
        self.modes = [self._modes(job, rows) for job in floor.jobs]
        for job in floor.jobs:
            self._job(job, placement)
        whole = self.whole
        whole[c.JOBS], whole[c.JOB_COUNT] = first, count
        ends = (self.jobs[job.index] for job in floor.jobs if not job.after)
        whole[c.ENDS], whole[c.ENDS_END] = self._list(ends)
        whole[c.ORDER] = self._list(self.jobs)[0]
        whole[c.PATH] = self._list([0] * count)[0]
        whole[c.SCRATCH] = self._list([0] * (2 * count))[0]
        whole[c.BANNED] = self._list([0] * c.BANS)[0]
        whole[c.POOL] = self._list([0] * (c.MOST_POOLED * (c.POOL_PLAN + 2 * count)))[0]
        whole[c.BUILT], whole[c.PATIENCE], whole[c.STAY] = BUILT, PATIENCE, STAY

    def found_in(self, whole: Any) -> Placement:
        """The best placement that stands in the numbers of a lane."""
        modes = [int(whole[job + c.BEST_MODE]) for job in self.jobs]
        start = [int(whole[job + c.BEST_START]) for job in self.jobs]
        return Placement(
            tuple((m - first) // c.WAY for m, first in zip(modes, self.modes, strict=True)),
            tuple(start),
            tuple(s + int(whole[m + c.LENGTH]) for s, m in zip(start, modes, strict=True)),
        )

    def _list(self, values: Iterable[int]) -> tuple[int, int]:
        first = len(self.whole)
        self.whole += values
        return first, len(self.whole)

    def _rows(self, floor: Floor) -> dict[int, int]:
        used = sorted({i for job in floor.jobs for mode in job.modes for i in mode.uses})
        first = self._list([c.NONE] * (c.ROW_SIZE * len(used)))[0]
        self.whole[c.ROWS], self.whole[c.ROW_COUNT] = first, len(used)
        return {resource: first + c.ROW_SIZE * i for i, resource in enumerate(used)}

    def _modes(self, job: Job, rows: dict[int, int]) -> int:
        ways: list[int] = []
        for mode in job.modes:
            ways += rows[mode.uses[0]] if mode.uses else c.NONE, job.length(mode, None)
        return self._list(ways)[0]

    def _job(self, job: Job, placement: Placement) -> None:
        at, first = self.jobs[job.index], self.modes[job.index]
        last = first + c.WAY * len(job.modes)
        before = self._list(self.jobs[j] for j in job.before)
        after = self._list(self.jobs[j] for j in job.after)
        salt = 1 + (job.index + 1) * 48271**3 % SALTS
        self.whole[at : at + c.MODE + 1] = [
            *(first, last, *before, *after, job.lag, job.release, salt),
            first + c.WAY * placement.mode[job.index],
        ]
        self.whole[at + c.KEY] = placement.start[job.index]
