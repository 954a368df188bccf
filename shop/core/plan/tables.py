"""From the floor to the store of the kernel: one list of whole numbers, one of real ones."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from typing import Any

import numpy as np

from shop.core.plan import kernel as k
from shop.core.plan.dispatch import Placement
from shop.core.plan.floor import MOVED, Floor, Job, Mode
from shop.core.plan.hours import Hours
from shop.core.plan.levels import Levels
from shop.core.plan.problem import Goal
from shop.core.plan.rules import in_working_order
from shop.core.plan.trips import Trips, numbered

PULL = 2e-4
"""What a tick of an order's completion counts beside one of lateness: too little to decide."""
MARKS = 24
"""Places in a list at which a compiled search keeps the state of the shop."""


@dataclass(frozen=True, slots=True)
class Store:
    """The numbers that a search begins with; `size` is the room it needs in all.

    `jobs` and `modes` are where the record of each job and of its first mode begins, `resources`
    where that of each resource does.
    """

    whole: list[int]
    size: int
    real: list[float]
    jobs: list[int]
    modes: list[int]
    resources: list[int]

    def numbers(self, *, is_compiled: bool = False) -> tuple[Any, Any]:
        """The whole numbers and the real ones to work on, in the shape that the kernel runs on."""
        if not is_compiled:
            return self.whole + [0] * (self.size - len(self.whole)), [*self.real]
        whole = np.zeros(self.size, dtype=np.int64)
        whole[: len(self.whole)] = self.whole
        return whole, np.array(self.real)


def store_of(floor: Floor, goal: Goal, placement: Placement, marks: int) -> Store:
    """The floor, and a list of its jobs in the order in which they start in the placement."""
    return _Build(floor, goal, placement).store(marks)


def with_levels(store: Store, levels: Levels) -> Store:
    """The same store with levels behind all else, which stays where it is.

    With them a search sees sooner that a plan is no better, and what makes one better.
    """
    whole = [*store.whole]
    whole[k.OPEN] = _calendar(whole, levels.open)
    for job, limits in zip(store.jobs, levels.limits, strict=True):
        until = _list(whole, [*limits, *map(levels.open.worked_until, limits)])
        whole[job + k.LIMITS] = until[0]
    for i, missed in enumerate(levels.missed):
        order = whole[k.ORDERS] + k.ORDER_SIZE * i
        whole[order + k.MISSED], whole[order + k.LEVELS] = _list(whole, missed)[0], len(missed)
    whole[k.MARKS] = len(whole)
    return replace(store, whole=whole, size=store.size + len(whole) - len(store.whole))


def found_in(store: Store, whole: Sequence[int]) -> Placement:
    """The best placement that stands in the numbers of a search."""
    pairs = list(zip(store.jobs, store.modes, strict=True))
    return Placement(
        tuple((int(whole[job + k.BEST_MODE]) - first) // k.MODE for job, first in pairs),
        tuple(int(whole[job + k.BEST_START]) for job in store.jobs),
        tuple(int(whole[job + k.BEST_END]) for job in store.jobs),
    )


class _Build:
    def __init__(self, floor: Floor, goal: Goal, placement: Placement) -> None:
        self.floor, self.goal, self.placement = floor, goal, placement
        self.whole = [0] * k.HEAD
        names = sorted({job.family for job in floor.jobs} | set(floor.family) | {""})
        self.families = {name: i for i, name in enumerate(names)}

    def store(self, marks: int) -> Store:
        floor, whole = self.floor, self.whole
        jobs = self._reserve(k.JOB, len(floor.jobs))
        resources = self._reserve(k.RESOURCE, len(floor.capacity))
        orders = self._reserve(k.ORDER_SIZE, len(floor.due))
        calendars = [_calendar(whole, hours) for hours in floor.calendars]
        trips = [_trips(whole, each) for each in floor.trips]
        modes = [self._modes(job, resources, calendars, trips) for job in floor.jobs]
        tails = _tails(floor, self.goal)
        for job in floor.jobs:
            self._job(job, jobs, modes[job.index], tails[job.index], resources, orders)
        real = self._orders(jobs, orders)
        state = self._resources(resources, calendars)
        free = [job.index for job in floor.jobs if not whole[jobs[job.index] + k.FIXED]]
        free.sort(key=lambda i: (self.placement.start[i], self.placement.end[i], i))
        for place, i in enumerate(free):
            whole[jobs[i] + k.AT] = place
        every = max(1, -(-len(free) // marks))
        listed = [jobs[i] for i in free]
        lists = [self._list(listed)[0] for _ in range(4)]
        marks = max(1, -(-len(free) // every))
        banks, end = self._list([0] * marks)
        size = state + 2 * len(floor.capacity) + 3 * len(floor.due) + 1
        has_long = self.goal is Goal.LATENESS and any(j.free < len(j.modes) for j in floor.jobs)
        whole[k.HAS_LONG] = int(has_long)
        whole[k.MAKESPAN] = int(self.goal is Goal.MAKESPAN)
        for head, records in [(k.JOBS, jobs), (k.RESOURCES, resources), (k.ORDERS, orders)]:
            whole[head], whole[head + 1] = records[0] if records else 0, len(records)
        whole[k.TOLERANCE] = int(MOVED / floor.ticks.step)
        whole[k.LISTED], whole[k.EVERY] = len(free), every
        whole[k.LIST], whole[k.TRIED], whole[k.BEST], whole[k.SCRATCH] = lists
        whole[k.BANKS], whole[k.MARKS], whole[k.MARK_SIZE] = banks, end, size
        real += [0.0] * (2 * marks)
        return Store(
            whole, end + 2 * marks * size, real, jobs, [first for first, _ in modes], resources
        )

    def _reserve(self, size: int, count: int) -> list[int]:
        first = len(self.whole)
        self.whole += [0] * (size * count)
        return [first + size * i for i in range(count)]

    def _list(self, values: Iterable[int]) -> tuple[int, int]:
        return _list(self.whole, values)

    def _modes(
        self,
        job: Job,
        resources: Sequence[int],
        calendars: Sequence[int],
        trips: Sequence[int],
    ) -> tuple[int, int]:
        records, crews, known = [], {}, {}
        for mode in job.modes:
            work = mode.shares_setup, mode.work, mode.work_setup, mode.work_after
            if work not in known:
                known[work] = self._lengths(job, mode)
            station = resources[mode.station] if mode.station >= 0 else -1
            calendar = calendars[mode.calendar] if mode.calendar >= 0 else -1
            if mode.calendar < -1:
                calendar = -trips[numbered(mode.calendar)]
            if mode.uses not in crews:
                crews[mode.uses] = self._list(resources[r] for r in mode.uses)
            regular = (0, 0)
            if mode.regular:
                regular = self._list(calendars[i] for i in mode.regular)
            how = (mode.skill, int(mode.shares_setup), *known[work], mode.work, *regular)
            records.append((station, *crews[mode.uses], calendar, *how))
        return self._list(chain.from_iterable(records))

    def _lengths(self, job: Job, mode: Mode) -> tuple[int, int, int]:
        """Where the lengths of a job by the family before it are listed, their number, the least."""
        families: list[str | None] = [*self.families] if mode.shares_setup else [None]
        lengths = [job.length(mode, family) for family in families]
        return self._list(lengths)[0], len(lengths), min(lengths)

    def _job(
        self,
        job: Job,
        jobs: Sequence[int],
        modes: tuple[int, int],
        tail: int,
        resources: Sequence[int],
        orders: Sequence[int],
    ) -> None:
        i, found = job.index, self.placement
        before = self._list(jobs[j] for j in job.before)
        after = self._list(jobs[j] for j in job.after)
        gear = self._list(chain.from_iterable((resources[r], count) for r, count in job.gear))
        fixed = 2 if job.under_way else int(job.fixed_start is not None)
        mode = modes[0] + k.MODE * found.mode[i]
        used = job.modes[found.mode[i]].used(found.start[i], found.end[i])
        order = orders[job.order] if job.order >= 0 else -1
        free = modes[0] + k.MODE * job.free
        self.whole[jobs[i] : jobs[i] + k.JOB] = [
            *(modes[0], free, *before, *after, *gear),
            *(job.lag, job.release, order, int(job.breakable), self.families[job.family]),
            *(fixed, tail, job.gear_hold, *self._told(job, modes[0])),
            *(0, -1, -1, mode, mode),
            *(found.start[i], found.start[i], found.end[i], found.end[i], used, used, 0),
            *(-1, mode, found.start[i], found.end[i], modes[1], int(job.is_batched), 0),
        ]

    def _told(self, job: Job, first: int) -> tuple[int, int]:
        """The mode and start that people were told; a mode that is none for other people.

        Of two modes with the same people it is the one that is at work then.
        """
        if job.told is None or self.floor.move_price <= 0:
            return -1, -1
        start = max(0, job.told[0])
        same = [n for n, mode in enumerate(job.modes) if frozenset(mode.crew) == job.told[1]]
        same.sort(key=lambda n: not _is_open(job.modes[n], start))
        return (first + k.MODE * same[0] if same else -1), start

    def _orders(self, jobs: Sequence[int], orders: Sequence[int]) -> list[float]:
        members: list[list[int]] = [[] for _ in orders]
        for job in self.floor.jobs:
            if job.order >= 0 and not self.whole[jobs[job.index] + k.FIXED]:
                members[job.order].append(jobs[job.index])
        for i, order in enumerate(orders):
            due = self.floor.due[i]
            span = self._list(members[i])
            begun = 0 if self.floor.begun[i] else k.LATEST
            late = k.REALS + len(orders) + i
            record = [k.LATEST if due is None else due, *span, k.REALS + i, *[0] * 5, begun, late]
            self.whole[order : order + k.ORDER_SIZE] = [*record, 0, 0]
        floor, prices = self.floor, self.floor.prices
        head = [*[k.NEVER] * 5, floor.move_price, prices.setup, PULL]
        head += [prices.overtime, prices.in_progress, prices.idle, 0.0, 0.0, 0.0, k.NEVER]
        return [*head, *floor.weight, *floor.late_price]

    def _resources(self, resources: Sequence[int], calendars: Sequence[int]) -> int:
        """Fills in the resources; gives the room that their state takes."""
        floor, room = self.floor, 0
        for i, count in enumerate(_users(floor)):
            steps = self._list([0] * (k.STEP * (2 * count + 4)))[0]
            row = self._list([0] * (count + 1))[0]
            own = calendars[floor.own_calendar[i]] if floor.own_calendar[i] >= 0 else -1
            family = self.families[floor.family[i]]
            record = [floor.capacity[i], own, family, steps, row, *[0] * 5]
            self.whole[resources[i] : resources[i] + k.RESOURCE] = record
            room += k.STEP * (2 * count + 4) + count + 1
        return room


def _list(whole: list[int], values: Iterable[int]) -> tuple[int, int]:
    """Puts values behind all others; gives where they begin and end."""
    first = len(whole)
    whole += values
    return first, len(whole)


def _calendar(whole: list[int], hours: Hours) -> int:
    return _stretches(whole, [*zip(hours.starts, hours.ends, hours.before, strict=False)])


def _trips(whole: list[int], trips: Trips) -> int:
    return _stretches(whole, [*zip(trips.starts, trips.ends, trips.backs, strict=True)])


def _stretches(whole: list[int], stretches: Sequence[tuple[int, int, int]]) -> int:
    first, end = _list(whole, chain.from_iterable(stretches))
    found, i = [], 0
    for tick in range(0, stretches[-1][1] if stretches else 0, 1 << k.BUCKET):
        while stretches[i][1] <= tick:
            i += 1
        found.append(first + k.STRETCH * i)
    buckets = _list(whole, found)
    return _list(whole, [first, end, *buckets])[0]


def _users(floor: Floor) -> list[int]:
    """How many bookings each resource may have."""
    count = [2] * len(floor.capacity)
    for job in floor.jobs:
        for resource in {r for mode in job.modes for r in mode.uses} | {r for r, _ in job.gear}:
            count[resource] += 2 if job.under_way else 1
    return count


def _tails(floor: Floor, goal: Goal) -> list[int]:
    """Ticks from the end of each job to the end of what counts, if nothing ever waited."""
    tail = [0] * len(floor.jobs)
    for job in reversed(in_working_order(floor)):
        for j in job.after:
            later = floor.jobs[j]
            if goal is Goal.MAKESPAN or later.order == job.order:
                tail[job.index] = max(tail[job.index], later.lag + later.least_work + tail[j])
    return tail


def _is_open(mode: Mode, tick: int) -> bool:
    return mode.hours is None or mode.hours.next_open(tick) == tick
