"""A known plan put together again for a shop that has changed: as it was, as far as that can be.

Its tasks are placed one after another in the order in which they stood, each as early as it can be
and with the same station and hands where those still serve. What the plan does not know comes last
and takes what room is left, so that it disturbs nothing; only curing goes with what it follows.

What people were told is mended first. The work that finds no room any more where it was gives way
to the work that does, so that it alone is moved, and takes whom it can get.
"""

from collections.abc import Collection, Iterator, Mapping
from copy import copy
from dataclasses import dataclass
from math import ceil
from types import ModuleType
from typing import Any

from shop.core.plan import kernel
from shop.core.plan.dispatch import Placement, placed_first
from shop.core.plan.floor import Floor, Job
from shop.core.plan.problem import Goal, Problem
from shop.core.plan.rules import in_working_order
from shop.core.plan.schedule import Booking
from shop.core.plan.tables import MARKS, Store, found_in, store_of

SOONEST = (1.0, 0.66, 0.33)
"""Shares of what people were told that others give way to: all of it, or only what comes first."""

Turn = tuple[float, ...]
"""When a job is placed: the least first."""


def put_again(
    problem: Problem, floor: Floor, known: Mapping[str, Booking], *, keeps_staff: bool = True
) -> Placement | None:
    """The known bookings, by task, on this floor; None if a task finds no room in its hours.

    Without `keeps_staff` each task chooses its station and hands anew.
    Raises BeyondHours or PinsClash where the work that is pinned or under way has no place.
    """
    first, store, whole = line_up(problem, floor, known, keeps_staff=keeps_staff)
    if whole[kernel.LISTED] == 0:
        return first
    real = list(store.real)
    kernel.begin(whole, real)
    if real[kernel.NOW] >= kernel.MISSED_PIN:
        return None
    return found_in(store, whole)


def line_up(
    problem: Problem, floor: Floor, known: Mapping[str, Booking], *, keeps_staff: bool
) -> tuple[Placement, Store, list[int]]:
    """What is placed first, and the store of the kernel with all else in line."""
    first = placed_first(floor)
    store = store_of(floor, Goal.LATENESS, _in_line(problem, floor, known, first), 1)
    whole, _ = store.numbers()
    if keeps_staff:
        for i, mode in _staff(problem, floor, store, known).items():
            whole[store.jobs[i] + kernel.PIN0] = mode
    return first, store, whole


@dataclass(frozen=True, slots=True)
class Line:
    """The numbers of the kernel, with the best of all that was tried on them kept."""

    store: Store
    whole: Any
    real: Any

    @property
    def is_found(self) -> bool:
        """Whether any of what was tried is a plan."""
        return bool(self.real[kernel.BEST_MAIN] < kernel.MISSED_PIN)

    @property
    def placement(self) -> Placement:
        """The best placement of one that is found."""
        return found_in(self.store, self.whole)


def mended(
    problem: Problem,
    floor: Floor,
    known: Mapping[str, Booking],
    engine: ModuleType,
    *,
    is_compiled: bool,
) -> list[Line]:
    """The known plan put together again: as it costs least, and so that least of it is moved.

    Only those that find room; where nothing is moved it is one.
    Raises BeyondHours or PinsClash where the work that is pinned or under way has no place.
    """
    mending = _Mending(problem, floor, known, engine, is_compiled)
    if not mending.whole[kernel.LISTED]:
        return []
    return [line for line in mending.lines() if line.is_found]


class _Mending:
    """The known plan lined up on the floor, to be tried in one way or another."""

    def __init__(
        self,
        problem: Problem,
        floor: Floor,
        known: Mapping[str, Booking],
        engine: ModuleType,
        is_compiled: bool,
    ) -> None:
        self.problem, self.floor, self.engine = problem, floor, engine
        first = placed_first(floor)
        self.turns = turns_of(problem, floor, known)
        lined = _placed_by(floor, self.turns, first)
        self.store = store_of(floor, problem.goal, lined, MARKS if is_compiled else 1)
        self.whole, self.real = self.store.numbers(is_compiled=is_compiled)
        self.staff = _staff(problem, floor, self.store, known)
        self.free = [job for job in in_working_order(floor) if first.mode[job.index] < 0]
        self.told = {job.index for job in self.free if job.told is not None}
        self.is_free = {job.index for job in self.free}

    def lines(self) -> Iterator[Line]:
        """In the order in which it stood, with the same staff and with any; then with what was told
        soonest before all that has lost its place."""
        self._try(self.turns, {})
        self._try(self.turns, self.staff)
        yield Line(self.store, self.whole, self.real)
        if self.floor.move_price <= 0 or not any(map(self._is_moved, self.told)):
            return
        self.whole, self.real = copy(self.whole), copy(self.real)
        self.real[kernel.BEST_MAIN] = kernel.NEVER
        kept = self._kept()
        for share in SOONEST:
            soon = self._soonest(share)
            near = kept - (self.told - soon)
            self._try(
                self._giving_way(near, soon),
                {i: mode for i, mode in self.staff.items() if i in near},
            )
        yield Line(self.store, self.whole, self.real)

    def _soonest(self, share: float) -> set[int]:
        """So much of what was told, that which begins first."""
        begins = {job.index: job.told[0] for job in self.free if job.told is not None}
        told = sorted(self.told, key=lambda i: (begins[i], i))
        return {*told[: ceil(share * len(told))]}

    def _kept(self) -> set[int]:
        """What can be where people were told, if all else gives way."""
        whole, jobs = self.whole, self.store.jobs
        self.engine.flag_kept(whole, self.real)
        kept = {job.index for job in self.free if whole[jobs[job.index] + kernel.FLAG]}
        for i in kept:
            whole[jobs[i] + kernel.FLAG] = 0
        return kept

    def _giving_way(self, kept: Collection[int], told: Collection[int]) -> list[Turn]:
        """The turns with what is kept first, then what was told and is not, then the rest."""
        turns = list(self.turns)
        for job in self.free:
            i = job.index
            part = 0 if i in kept else 1 if i in told else 2
            turns[i] = max(
                [(part, *self.turns[i]), *(turns[j] for j in job.before if j in self.is_free)]
            )
        return turns

    def _is_moved(self, i: int) -> bool:
        job = self.store.jobs[i]
        mode = (int(self.whole[job + kernel.MODE1]) - self.store.modes[i]) // kernel.MODE
        return self.floor.is_moved(self.floor.jobs[i], mode, int(self.whole[job + kernel.START1]))

    def _try(self, turns: list[Turn], pins: Mapping[int, int]) -> None:
        whole, jobs = self.whole, self.store.jobs
        listed = sorted((job.index for job in self.free), key=turns.__getitem__)
        for place, i in enumerate(listed):
            whole[whole[kernel.LIST] + place] = jobs[i]
            whole[jobs[i] + kernel.AT] = place
            whole[jobs[i] + kernel.PIN0] = pins.get(i, kernel.ANY)
        self.engine.begin(whole, self.real)


def turns_of(problem: Problem, floor: Floor, known: Mapping[str, Booking]) -> list[Turn]:
    """When the turn of each job comes: where it stood, and those of no place last.

    What is new before something that is known comes just before that. None has its turn before
    what it waits for.
    """
    listed = in_working_order(floor)
    wanted: list[Turn] = [(1, 0.0)] * len(floor.jobs)
    for job in reversed(listed):
        booking = known.get(problem.tasks[job.index].key)
        if booking is not None:
            wanted[job.index] = (0, booking.start.timestamp())
        elif job.before and not any(mode.uses for mode in job.modes):
            wanted[job.index] = (0, 0.0)
        else:
            wanted[job.index] = min([(1, 0.0), *(wanted[i] for i in job.after)])
    turns = list(wanted)
    for job in listed:
        turns[job.index] = max([wanted[job.index], *(turns[i] for i in job.before)])
    return turns


def _in_line(
    problem: Problem, floor: Floor, known: Mapping[str, Booking], first: Placement
) -> Placement:
    """Where each job stood, as the place at which its turn comes; those of no place come last."""
    return _placed_by(floor, turns_of(problem, floor, known), first)


def _placed_by(floor: Floor, turns: list[Turn], first: Placement) -> Placement:
    # The sort is stable and the jobs are in working order, so that none comes before its own need.
    start = list(first.start)
    listed = (job.index for job in in_working_order(floor))
    for turn, i in enumerate(sorted(listed, key=turns.__getitem__)):
        if first.mode[i] < 0:
            start[i] = turn
    mode = tuple(max(0, number) for number in first.mode)
    end = tuple(max(at, done) for at, done in zip(start, first.end, strict=True))
    return Placement(mode, tuple(start), end)


def _staff(
    problem: Problem, floor: Floor, store: Store, known: Mapping[str, Booking]
) -> dict[int, int]:
    """The mode in the store of each job that has the station and hands of its booking."""
    keys = [resource.key for resource in problem.resources]
    found = {}
    for task, job in zip(problem.tasks, floor.jobs, strict=True):
        number = _same_staff(keys, job, known.get(task.key))
        if number is not None:
            found[job.index] = store.modes[job.index] + kernel.MODE * number
    return found


def _same_staff(keys: list[str], job: Job, booking: Booking | None) -> int | None:
    """The mode with the station, the hands and the overtime of a booking."""
    if booking is None:
        return None
    wanted = {*booking.hands} | ({booking.station} if booking.station else set())
    same = [
        number for number, mode in enumerate(job.modes) if {keys[i] for i in mode.crew} == wanted
    ]
    same.sort(key=lambda number: bool(job.modes[number].regular) != bool(booking.overtime))
    return same[0] if same else None
