"""List scheduling without idle waiting: at each instant the rule picks what starts next.

Time only moves forward. Jobs that may use the same stations and hands wait in one queue, so that
an instant costs a look at each queue and not at each job.
"""

from bisect import bisect_right, insort
from collections.abc import Callable
from dataclasses import dataclass
from heapq import heappop, heappush

from shop.core.plan.floor import Floor, Job, Mode
from shop.core.plan.hours import Hours
from shop.core.plan.trips import Trips

Choose = Callable[[list[int], int], int]
"""Picks one of the jobs that could start at a tick."""


class BeyondHours(Exception):
    """A job found no place in the hours laid out."""

    def __init__(self, job: int) -> None:
        super().__init__(job)
        self.job = job


class PinsClash(Exception):
    """A pinned job finds its place taken by another pin or by work under way."""

    def __init__(self, job: int) -> None:
        super().__init__(job)
        self.job = job


@dataclass(frozen=True, slots=True)
class Placement:
    """Where each job went: its mode, start and end, one per job.

    `missed` are pairs (pinned job, job before it that ends too late).
    """

    mode: tuple[int, ...]
    start: tuple[int, ...]
    end: tuple[int, ...]
    missed: tuple[tuple[int, int], ...] = ()


def dispatch(floor: Floor, choose: Choose) -> Placement:
    """Places every job, asking `choose` wherever several could start.

    Raises BeyondHours or PinsClash.
    """
    return _Dispatch(floor, choose).run()


def placed_first(floor: Floor) -> Placement:
    """Only the work under way and what is pinned to a time; the rest has the start -1.

    Raises BeyondHours or PinsClash.
    """
    found = _Dispatch(floor, lambda candidates, _: candidates[0])
    found.place_pinned()
    return Placement(tuple(found.mode), tuple(found.start), tuple(found.end))


class _Dispatch:
    def __init__(self, floor: Floor, choose: Choose) -> None:
        count = len(floor.jobs)
        self.floor, self.choose = floor, choose
        self.now = 0
        self.mode, self.start, self.end = [-1] * count, [-1] * count, [-1] * count
        self.busy: list[list[tuple[int, int, int]]] = [[] for _ in floor.capacity]
        self.free = [0] * len(floor.capacity)
        self.row: list[list[tuple[int, int]]] = [[] for _ in floor.capacity]
        self.urgent = _ahead_of_pins(floor)
        self.started = False
        self.free_modes = [job.modes[: job.free] for job in floor.jobs]
        self.missing = [len(job.before) for job in floor.jobs]
        self.ready = [job.release for job in floor.jobs]
        self.users: list[list[int]] = [[] for _ in floor.capacity]

    def run(self) -> Placement:
        floor = self.floor
        self._make_queues()
        self.place_pinned()
        for job in floor.jobs:
            if not self.missing[job.index] and self.mode[job.index] < 0:
                ready = self.ready[job.index]
                heappush(self.waiting[self.queue_of[job.index]], (ready, job.index))
        self.started = True
        left = sum(1 for mode in self.mode if mode < 0)
        while left:
            left -= self._step()
        missed = tuple(
            (job.index, i)
            for job in floor.jobs
            if job.fixed_start is not None
            for i in job.before
            if self.end[i] + job.lag > job.fixed_start
        )
        return Placement(tuple(self.mode), tuple(self.start), tuple(self.end), missed)

    def place_pinned(self) -> None:
        """Work under way first, then pinned starts in their order."""
        jobs = self.floor.jobs
        for job in jobs:
            if job.under_way:
                number, start, end = self._best(job, 0)
                self._place(job, number, start, end)
                for resource in job.modes[number].uses:
                    if start and self.floor.capacity[resource] == 1:
                        self._book(resource, 0, start, 1)
        pinned = [(job.fixed_start, job) for job in jobs if job.fixed_start is not None]
        for start, job in sorted(pinned, key=lambda pair: (pair[0], pair[1].index)):
            found = self._best(job, start)
            if found[1] != start:
                raise PinsClash(job.index)
            self._place(job, *found)

    def _make_queues(self) -> None:
        self.queue_of: list[int] = []
        self.stations: list[tuple[int, ...]] = []
        self.hands: list[tuple[int, ...]] = []
        self.hours: list[Hours | Trips | None] = []
        known: dict[tuple[tuple[int, ...], tuple[int, ...], frozenset[int]], int] = {}
        for job in self.floor.jobs:
            modes = self.free_modes[job.index]
            stations = tuple(sorted({m.station for m in modes if m.station >= 0}))
            hands = tuple(sorted({seat for m in modes for seat in m.seats}))
            calendars = frozenset(mode.calendar for mode in modes)
            queue = known.setdefault((stations, hands, calendars), len(known))
            if queue == len(self.hours):
                self.stations.append(stations)
                self.hands.append(hands)
                for resource in (*stations, *hands):
                    self.users[resource].append(queue)
                self.hours.append(job.modes[0].hours if len(calendars) == 1 else None)
            self.queue_of.append(queue)
        self.waiting: list[list[tuple[int, int]]] = [[] for _ in known]
        self.here: list[list[int]] = [[] for _ in known]
        self.bound = [0] * len(known)

    def _step(self) -> int:
        """Tries the best job at the next possible instant; the number of jobs placed."""
        candidates = self._candidates()
        if self.urgent:
            candidates = [i for i in candidates if i in self.urgent] or candidates
        index = self.choose(candidates, self.now) if len(candidates) > 1 else candidates[0]
        job = self.floor.jobs[index]
        queue = self.queue_of[index]
        self.here[queue].remove(index)
        found = self._best(job, self.now)
        if found[1] > self.now:
            heappush(self.waiting[queue], (found[1], index))
            return 0
        self._place(job, *found)
        return 1

    def _candidates(self) -> list[int]:
        now = -1
        for queue, bound in enumerate(self.bound):
            if not self.here[queue]:
                if not self.waiting[queue]:
                    continue
                bound = max(bound, self.waiting[queue][0][0])
            bound = self._open(queue, bound)
            if now < 0 or bound < now:
                now = bound
        self.now = now = max(now, self.now)
        found: list[int] = []
        for queue, bound in enumerate(self.bound):
            if bound > now or not (self.here[queue] or self.waiting[queue]):
                continue
            here, waiting = self.here[queue], self.waiting[queue]
            while waiting and waiting[0][0] <= now:
                here.append(heappop(waiting)[1])
            found += here
        return found

    def _open(self, queue: int, tick: int) -> int:
        hours = self.hours[queue]
        at = hours.next_open(tick) if hours is not None else tick
        return tick if at is None else at

    def _best(self, job: Job, tick: int) -> tuple[int, int, int]:
        """Mode, start and end: the earliest start, rather without overtime, then the earliest end,
        then the least skill."""
        best: tuple[int, bool, int, int, int] | None = None
        for number, mode in enumerate(self.free_modes[job.index]):
            fit = self._fit(job, mode, tick)
            if fit is not None:
                rank = (fit[0], bool(mode.regular), fit[1], mode.skill, number)
                if best is None or rank < best:
                    best = rank
        if best is None:
            raise BeyondHours(job.index)
        return best[4], best[0], best[2]

    def _fit(self, job: Job, mode: Mode, tick: int) -> tuple[int, int] | None:
        while True:
            previous, following = self._neighbours(mode, tick)
            work = job.length(mode, previous)
            if mode.hours is None:
                start, end = tick, tick + work
            else:
                fit = mode.hours.fit(tick, work, job.breakable)
                if fit is None:
                    return None
                start, end = fit
            clash = self._clash(job, mode, start, end)
            if clash is None and following is not None:
                clash = self._spoilt(job, following)
            if clash is None and start > tick and self._neighbours(mode, start)[0] != previous:
                clash = start
            if clash is None:
                return start, end
            tick = clash

    def _neighbours(self, mode: Mode, tick: int) -> tuple[str | None, int | None]:
        """The family set up on a station at a tick, and the job that comes next there."""
        if not mode.shares_setup:
            return None, None
        row = self.row[mode.station]
        place = bisect_right(row, (tick, len(self.mode)))
        jobs = self.floor.jobs
        family = jobs[row[place - 1][1]].family if place else self.floor.family[mode.station]
        return family, row[place][1] if place < len(row) else None

    def _spoilt(self, job: Job, pinned: int) -> int | None:
        """The end of the pinned job, when going before it would change its set-up."""
        later = self.floor.jobs[pinned]
        pinned_mode = later.modes[self.mode[pinned]]
        hours, start, end = pinned_mode.hours, self.start[pinned], self.end[pinned]
        work = later.length(pinned_mode, job.family)
        if hours is None or hours.fit(start, work, later.breakable) == (start, end):
            return None
        return end

    def _clash(self, job: Job, mode: Mode, start: int, end: int) -> int | None:
        """A later tick to try from, when something is taken between start and end."""
        for resource in mode.uses:
            until = self._taken(resource, start, end, 1)
            if until is not None:
                return until
        for resource, count in job.gear:
            until = self._taken(resource, start, end + job.gear_hold, count)
            if until is not None:
                return until
        return None

    def _taken(self, resource: int, start: int, end: int, count: int) -> int | None:
        busy = self.busy[resource]
        overlapping = [b for b in busy if b[0] < end and b[1] > start]
        if not overlapping:
            return None
        spare = self.floor.capacity[resource] - count
        if spare == 0:
            return min(b[1] for b in overlapping)
        level = 0
        changes = [(max(a, start), n) for a, _, n in overlapping]
        changes += [(b, -n) for _, b, n in overlapping]
        for _, change in sorted(changes):
            level += change
            if level > spare:
                return min(b[1] for b in overlapping)
        return None

    def _place(self, job: Job, number: int, start: int, end: int) -> None:
        index, mode = job.index, job.modes[number]
        self.mode[index], self.start[index], self.end[index] = number, start, end
        for resource in mode.uses:
            self._book(resource, start, end, 1)
        for resource, count in job.gear:
            self._book(resource, start, end + job.gear_hold, count)
        if mode.shares_setup:
            insort(self.row[mode.station], (start, index))
        for later in job.after:
            self.missing[later] -= 1
            self.ready[later] = max(self.ready[later], end + self.floor.jobs[later].lag)
            if not self.missing[later] and self.mode[later] < 0 and self.started:
                heappush(self.waiting[self.queue_of[later]], (self.ready[later], later))

    def _book(self, resource: int, start: int, end: int, count: int) -> None:
        now = self.now
        busy = [b for b in self.busy[resource] if b[1] > now]
        busy.append((start, end, count))
        self.busy[resource] = busy
        active = [b for b in busy if b[0] <= now]
        if sum(b[2] for b in active) >= self.floor.capacity[resource]:
            self.free[resource] = min(b[1] for b in active)
            for queue in self.users[resource]:
                stations, hands = self.stations[queue], self.hands[queue]
                bound = min([self.free[s] for s in stations], default=0)
                self.bound[queue] = max(bound, min([self.free[h] for h in hands], default=0))


def _ahead_of_pins(floor: Floor) -> set[int]:
    """Jobs that a pinned start waits for, near or far: they go before all others."""
    stack = [i for job in floor.jobs if job.fixed_start is not None for i in job.before]
    found: set[int] = set()
    while stack:
        index = stack.pop()
        if index not in found:
            found.add(index)
            stack += floor.jobs[index].before
    return found
