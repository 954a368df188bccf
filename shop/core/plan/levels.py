"""By when each job must end for its order to be on time, or a day late, or two.

A night makes of a minute that is missing in the evening a whole night of lateness. What cannot be
seen from how late an order is, can be seen from here: how far each of its jobs is from what would
make the order a day less late. It is reckoned for each order alone, as if nothing ever waited for a
station or a hand, so that no plan can do better.
"""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import reduce

from shop.core.plan.floor import Floor, Job, Mode
from shop.core.plan.hours import NO_HOURS, Hours
from shop.core.plan.kernel import LATEST
from shop.core.plan.rules import in_working_order
from shop.core.plan.trips import Trips, numbered

LEVELS = 10
"""How many evenings are looked at, the one of the due date first."""
NIGHT = timedelta(hours=4)
"""A pause of the whole workshop that is at least so long parts two days."""


@dataclass(frozen=True, slots=True)
class Levels:
    """For each order how soon it can end that misses a level; for each job by when it must end.

    Both are empty for an order that is not due and for its jobs. `open` are the hours of the
    whole workshop, in which it is counted how far a job is off.
    """

    missed: tuple[tuple[int, ...], ...]
    limits: tuple[tuple[int, ...], ...]
    open: Hours


def levels_of(floor: Floor) -> Levels:
    """The levels of each order, from the one on which it is on time."""
    staffed = sorted({m.calendar for job in floor.jobs for m in job.modes if m.hands})
    hours = reduce(Hours.either, [floor.calendars[i] for i in staffed], NO_HOURS)
    evenings = _evenings(hours, int(NIGHT / floor.ticks.step))
    targets = [() if due is None else _targets(due, evenings) for due in floor.due]
    limits = _Limits(floor).of(targets)
    ends = [
        [job for job in floor.jobs if job.order == order and _is_last(floor, job)]
        for order in range(len(floor.due))
    ]
    return Levels(
        missed=tuple(
            tuple(_soonest_after(tick, jobs) for tick in ticks)
            for ticks, jobs in zip(targets, ends, strict=True)
        ),
        limits=limits,
        open=hours,
    )


def _evenings(hours: Hours, night: int) -> list[int]:
    """The ends of stretches that a long pause follows."""
    starts = [*hours.starts[1:], LATEST]
    return [end for end, start in zip(hours.ends, starts, strict=False) if start - end >= night]


def _targets(due: int, evenings: Sequence[int]) -> tuple[int, ...]:
    return (due, *[tick for tick in evenings if tick > due][: LEVELS - 1])


def _is_last(floor: Floor, job: Job) -> bool:
    return all(floor.jobs[i].order != job.order for i in job.after)


def _soonest_after(tick: int, jobs: Sequence[Job]) -> int:
    """How soon the last of some jobs can end if it does not by a tick."""
    soonest = LATEST
    for hours in {mode.hours for job in jobs for mode in job.modes}:
        if isinstance(hours, Trips):
            soonest = min(soonest, hours.next_back(tick))
            continue
        opens = None if hours is None else hours.next_open(tick)
        soonest = min(soonest, (tick if opens is None else opens) + 1)
    return soonest if jobs else tick + 1


class _Limits:
    """The way back through an order, for all of its levels at once."""

    def __init__(self, floor: Floor) -> None:
        self.floor = floor
        self.last_start = {i: way_back(hours) for i, hours in enumerate(floor.calendars)}
        self.last_start |= {numbered(i): trips.last_start for i, trips in enumerate(floor.trips)}

    def of(self, targets: Sequence[Sequence[int]]) -> tuple[tuple[int, ...], ...]:
        """For each job by when it must end for its order to end by each of its targets."""
        jobs = self.floor.jobs
        found = [[*targets[job.order]] if job.order >= 0 else [] for job in jobs]
        for job in reversed(in_working_order(self.floor)):
            starts: Sequence[int] = ()
            for i in job.before:
                if jobs[i].order == job.order and found[i]:
                    starts = starts or self._starts(job, found[job.index])
                    found[i] = [min(a, b - job.lag) for a, b in zip(found[i], starts, strict=True)]
        return tuple(map(tuple, found))

    def _starts(self, job: Job, ends: Sequence[int]) -> list[int]:
        """The last start of a job with which it ends in time, in whichever way is the quickest."""
        ways = {(mode.calendar, _least(job, mode)) for mode in job.modes}
        return [max(self._start(job, end, *way) for way in ways) for end in ends]

    def _start(self, job: Job, end: int, calendar: int, work: int) -> int:
        if calendar == -1:
            return end - work
        return self.last_start[calendar](end, work, job.breakable)


def _least(job: Job, mode: Mode) -> int:
    return min(mode.work, mode.work_setup, *(work for _, work in mode.work_after))


def way_back(hours: Hours) -> Callable[[int, int, bool], int]:
    """Gives the last start of a run of work that ends by a tick; -1 where there is none."""
    starts, stops, before = hours.starts, hours.ends, hours.before

    def last_start(until: int, work: int, breakable: bool) -> int:
        at = bisect_right(starts, until) - 1
        if at < 0:
            return -1
        start = min(until, stops[at]) - work
        if start >= starts[at]:
            return start
        if not breakable:
            fitting = (i for i in range(at - 1, -1, -1) if stops[i] - starts[i] >= work)
            return next((stops[i] - work for i in fitting), -1)
        left = before[at] + start - starts[at]
        if left < 0:
            return -1
        to = bisect_right(before, left) - 1
        return starts[to] + left - before[to]

    return last_start
