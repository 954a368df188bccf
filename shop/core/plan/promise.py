"""What a plan can promise: when each order is really done, as the work takes longer or shorter.

The plan is played through many times, each time with other times for the work. Everybody stays at
the station and with the work that the plan says, and takes it in the plan's order, but does not
stand idle where something later can be done meanwhile.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import ceil, exp
from random import Random
from statistics import NormalDist

from shop.core.plan import kernel
from shop.core.plan.again import line_up
from shop.core.plan.floor import Floor
from shop.core.plan.problem import Problem
from shop.core.plan.schedule import Booking
from shop.core.plan.tables import Store

MOST_DRAWS, LEAST_DRAWS, JOBS_PLAYED = 200, 12, 8_000
ORDER_SPREAD = 0.10
"""How far the whole of an order may be easier or harder than its standard times; an assumption,
from memory, unverified."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """When an order is done: as planned, and the instants that half, 80 and 90 in 100 keep.

    `chance` is that of being done by the time it is due, from 0 to 1; None for one without.
    """

    order: str
    planned: datetime
    p50: datetime
    p80: datetime
    p90: datetime
    chance: float | None = None


def promises(
    problem: Problem,
    floor: Floor,
    bookings: Mapping[str, Booking],
    *,
    draws: int | None = None,
    seed: int = 0,
) -> Mapping[str, Promise]:
    """The promise of every order that has tasks, by key, when a plan with these bookings is kept.

    Without `draws` there are as many as a second or so allows.
    """
    count = draws or max(LEAST_DRAWS, min(MOST_DRAWS, JOBS_PLAYED // max(1, len(floor.jobs))))
    ends = _Play(problem, floor, bookings, seed).ends(count)
    found = {}
    for number, order in enumerate(problem.orders):
        keys = [t.key for t in problem.tasks if t.order == order.key]
        if not keys:
            continue
        done, due = sorted(each[number] for each in ends), floor.due[number]
        found[order.key] = Promise(
            order=order.key,
            planned=max(bookings[key].end for key in keys),
            p50=_kept(floor, done, 0.5),
            p80=_kept(floor, done, 0.8),
            p90=_kept(floor, done, 0.9),
            chance=None if due is None else sum(end <= due for end in done) / len(done),
        )
    return found


class _Play:
    """The shop lined up as the plan has it, ready to be played through with other times."""

    def __init__(
        self, problem: Problem, floor: Floor, bookings: Mapping[str, Booking], seed: int
    ) -> None:
        self.problem, self.floor, self.seed = problem, floor, seed
        _, self.store, self.whole = line_up(problem, floor, bookings, keeps_staff=True)
        self.varying = [
            (job.index, task.spread, _lengths(self.whole, self.store, job.index))
            for task, job in zip(problem.tasks, floor.jobs, strict=True)
            if task.spread > 0
        ]

    def ends(self, draws: int) -> list[list[int]]:
        """For each draw the end of every order, in ticks; one without tasks has 0."""
        random = Random(self.seed)
        common = [_strata(random, draws) for _ in self.problem.orders]
        return [self._played(random, [each[k] for each in common]) for k in range(draws)]

    def _played(self, random: Random, common: Sequence[float]) -> list[int]:
        whole, floor = list(self.whole), self.floor
        for i, spread, slots in self.varying:
            order = floor.in_order[i]
            shared = ORDER_SPREAD if order >= 0 else 0.0
            z = spread * random.gauss(0, 1) + shared * (common[order] if order >= 0 else 0.0)
            factor = exp(z - (spread**2 + shared**2) / 2)
            for slot, most in slots:
                whole[slot] = min(most, max(1, round(whole[slot] * factor)))
            self._stretch_fixed(whole, i, factor)
        real = list(self.store.real)
        kernel.begin(whole, real)
        ends = [0] * len(self.problem.orders)
        for job, order in zip(self.store.jobs, floor.in_order, strict=True):
            if order >= 0:
                end = whole[job + kernel.END0] if real[kernel.NOW] < kernel.NEVER else _last(floor)
                ends[order] = max(ends[order], end)
        return ends

    def _stretch_fixed(self, whole: list[int], i: int, factor: float) -> None:
        """Work under way or pinned to a time starts where it does and ends earlier or later."""
        job = self.store.jobs[i]
        if whole[job + kernel.FIXED]:
            mode, start = whole[job + kernel.MODE0], whole[job + kernel.START0]
            work = max(1, round(whole[job + kernel.USED0] * factor))
            end = kernel.run_from(whole, whole[mode + kernel.CALENDAR], start, work, 1)[1]
            if end > 0:
                whole[job + kernel.END0], whole[job + kernel.USED0] = end, work


def _lengths(whole: Sequence[int], store: Store, i: int) -> list[tuple[int, int]]:
    """Where the lengths of a job stand, and the most that each may grow to."""
    job = store.jobs[i]
    found: dict[int, int] = {}
    for mode in range(whole[job + kernel.MODES], whole[job + kernel.LONG_END], kernel.MODE):
        calendar, most = whole[mode + kernel.CALENDAR], kernel.LATEST
        if calendar >= 0 and not whole[job + kernel.BREAKABLE]:
            first, last = whole[calendar + kernel.HOURS], whole[calendar + kernel.HOURS_END]
            most = max(
                whole[at + kernel.SHUTS] - whole[at + kernel.OPENS]
                for at in range(first, last, kernel.STRETCH)
            )
        first = whole[mode + kernel.LENGTH]
        slots = [mode + kernel.LEAST, *range(first, first + whole[mode + kernel.LENGTHS])]
        # Modes of the same work share a list of lengths.
        found |= {slot: min(most, found.get(slot, most)) for slot in slots}
    return [*found.items()]


def _strata(random: Random, draws: int) -> list[float]:
    """Standard normal numbers, one from each of so many equal shares, shuffled."""
    shares = [(k + random.random()) / draws for k in range(draws)]
    random.shuffle(shares)
    return [NormalDist().inv_cdf(min(1 - 1e-9, max(1e-9, share))) for share in shares]


def _kept(floor: Floor, done: Sequence[int], share: float) -> datetime:
    """The instant by which so many in a hundred draws are done."""
    return floor.ticks.at(done[ceil(share * len(done)) - 1])


def _last(floor: Floor) -> int:
    return max((hours.ends[-1] for hours in floor.calendars), default=0)
