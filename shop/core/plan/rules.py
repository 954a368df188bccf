"""Dispatching rules: which of several waiting jobs goes first.

None wins everywhere, so the planner runs them all and keeps the best plan.
Source of the families: Pinedo, Scheduling: Theory, Algorithms, and Systems, 5th ed. 2016,
chapter 14 (dispatching rules; ATC: Vepsalainen and Morton, Management Science 33, 1987).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import exp, inf

from shop.core.plan.dispatch import Choose
from shop.core.plan.floor import Floor, Job
from shop.core.plan.hours import Hours
from shop.core.plan.trips import Trips

ATC_LOOK_AHEAD = (1, 2, 4)
MEANS = 6


@dataclass(frozen=True, slots=True)
class Outlook:
    """What lies ahead of each job, in wall-clock ticks.

    `length` is its own time; `tail` the longest way from its start to the end of all that follows;
    `latest` the last end that keeps every order in time; `weight` that of its order.
    """

    length: tuple[float, ...]
    tail: tuple[float, ...]
    latest: tuple[float, ...]
    weight: tuple[float, ...]
    mean: float


def outlook(floor: Floor) -> Outlook:
    """Looks ahead from every job, as if nothing ever waited for a station or a hand."""
    count = len(floor.jobs)
    length = [_wall_length(job) for job in floor.jobs]
    last = max((d for d in floor.due if d is not None), default=0) + 2 * sum(length)
    tail, latest = [0.0] * count, [inf] * count
    for job in reversed(in_working_order(floor)):
        i = job.index
        due = floor.due[job.order] if job.order >= 0 else None
        end, rest = (last if due is None else due), 0.0
        for j in job.after:
            lag = floor.jobs[j].lag
            rest = max(rest, lag + tail[j])
            end = min(end, latest[j] - length[j] - lag)
        tail[i], latest[i] = length[i] + rest, end
    weight = tuple(_weight(floor, job) for job in floor.jobs)
    mean = sum(length) / count if count else 1.0
    return Outlook(tuple(length), tuple(tail), tuple(latest), weight, mean)


def in_working_order(floor: Floor) -> list[Job]:
    """The jobs, each after all that it waits for."""
    missing = [len(job.before) for job in floor.jobs]
    ordered = [job for job in floor.jobs if not job.before]
    for job in ordered:
        for later in job.after:
            missing[later] -= 1
            if not missing[later]:
                ordered.append(floor.jobs[later])
    return ordered


def rules(floor: Floor) -> Iterator[tuple[str, Choose]]:
    """Name and rule, the one most likely to do well first."""
    ahead = outlook(floor)
    length, tail, latest = ahead.length, ahead.tail, ahead.latest
    jobs = range(len(floor.jobs))
    for k in ATC_LOOK_AHEAD:
        yield f"apparent tardiness cost, k = {k}", _apparent_tardiness(ahead, k)
    yield "least slack", by_key([latest[i] - length[i] for i in jobs])
    yield "critical ratio", _critical_ratio(ahead)
    yield "earliest due date", by_key(_due(floor))
    yield "most work remaining", by_key([-tail[i] for i in jobs])
    yield "weighted shortest work", by_key([length[i] / ahead.weight[i] for i in jobs])
    yield "longest work", by_key([-length[i] for i in jobs])


def first_come(floor: Floor) -> Choose:
    """First come, first served: by release, then as named."""
    return by_key([float(job.release) for job in floor.jobs])


def by_key(keys: Sequence[float]) -> Choose:
    """The rule that takes the least key; ties go to the job named first."""
    order = sorted(range(len(keys)), key=lambda i: (keys[i], i))
    place = [0] * len(keys)
    for rank, i in enumerate(order):
        place[i] = rank

    def choose(candidates: list[int], _: int) -> int:
        return min(candidates, key=place.__getitem__)

    return choose


def _apparent_tardiness(ahead: Outlook, k: int) -> Choose:
    scale = k * MEANS * ahead.mean
    urgency = [w / t for w, t in zip(ahead.weight, ahead.tail, strict=True)]
    begin = [e - n for e, n in zip(ahead.latest, ahead.length, strict=True)]

    def choose(candidates: list[int], now: int) -> int:
        best, chosen = -1.0, candidates[0]
        for i in candidates:
            slack = begin[i] - now
            cost = urgency[i] if slack <= 0 else urgency[i] * exp(-slack / scale)
            if cost > best or (cost == best and i < chosen):
                best, chosen = cost, i
        return chosen

    return choose


def _critical_ratio(ahead: Outlook) -> Choose:
    tail = ahead.tail
    due = [e - n + t for e, n, t in zip(ahead.latest, ahead.length, tail, strict=True)]

    def choose(candidates: list[int], now: int) -> int:
        return min(candidates, key=lambda i: ((due[i] - now) / tail[i], i))

    return choose


def _due(floor: Floor) -> list[float]:
    return [
        inf if job.order < 0 or floor.due[job.order] is None else float(floor.due[job.order] or 0)
        for job in floor.jobs
    ]


def _weight(floor: Floor, job: Job) -> float:
    weighs = job.order >= 0 and floor.due[job.order] is not None
    return max(floor.weight[job.order], 1e-6) if weighs else 1e-6


def _wall_length(job: Job) -> float:
    """Wall-clock ticks that the work takes on average, pauses and nights included."""
    if job.modes and isinstance(job.modes[0].hours, Trips):
        return job.modes[0].hours.usual
    if not job.breakable:
        return float(job.least_work)
    stretch = [
        (mode.hours.ends[-1] - mode.hours.starts[0]) / mode.hours.total
        for mode in job.modes[:1]
        if isinstance(mode.hours, Hours) and mode.work > mode.hours.longest / 2
    ]
    return job.least_work * (stretch[0] if stretch else 1.0)
