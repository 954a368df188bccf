"""What can be said of every good plan before the solver looks for it."""

from bisect import bisect_left

from shop.core.plan.dispatch import Placement
from shop.core.plan.floor import Floor
from shop.core.plan.hours import Hours
from shop.core.plan.measure import cost_of
from shop.core.plan.problem import Goal


def pause_groups(
    hours: Hours, ticks: int, breakable: bool, latest: int
) -> dict[int, list[list[int]]]:
    """Starts by the pause that the work meets from there: {pause: spans of starts}."""
    groups: dict[int, list[list[int]]] = {}
    for start, end in zip(hours.starts, hours.ends, strict=True):
        tick = start
        while tick < end and tick < latest:
            fit = hours.fit(tick, ticks, breakable)
            if fit is None or fit[0] != tick:
                break
            j = bisect_left(hours.ends, fit[1])
            until = min(end - 1, tick + hours.ends[j] - fit[1])
            stop = min(until, latest - (fit[1] - tick))
            if stop >= tick:
                groups.setdefault(fit[1] - tick - ticks, []).append([tick, stop])
            tick = until + 1
    return groups


def serial_end(floor: Floor) -> int | None:
    """A tick by which some best plan is over: the longest wait, then one job after another.

    None where the hours laid out end before that.
    """
    last = max((max(job.release, job.fixed_start or 0) for job in floor.jobs), default=0)
    for job in floor.jobs:
        last += job.lag + job.gear_hold
        ends = []
        for mode in job.modes:
            if mode.hours is None:
                ends.append(last + mode.work_setup)
            else:
                fit = mode.hours.fit(last, mode.work_setup, job.breakable)
                if fit is None:
                    return None
                ends.append(fit[1])
        last = max(ends)
    return last


def is_whole(floor: Floor, goal: Goal) -> bool:
    """Whether the hours laid out hold every plan that matters."""
    return goal is Goal.MAKESPAN or floor.is_final or serial_end(floor) is not None


def latest(floor: Floor, goal: Goal, known: Placement) -> list[int]:
    """The last end of each job in any plan that is as good as the known one."""
    if goal is Goal.MAKESPAN and not known.missed:
        return [max(known.end, default=0)] * len(floor.jobs)
    shut = max([hours.ends[-1] for hours in floor.calendars], default=0)
    until = serial_end(floor)
    last = max([shut if until is None else until, *known.end])
    if known.missed:
        return [last] * len(floor.jobs)
    allowed = cost_of(floor, known)
    ends = []
    for job in floor.jobs:
        due = floor.due[job.order] if job.order >= 0 else None
        weight = floor.weight[job.order] if job.order >= 0 else 0.0
        if due is None or weight <= 0:
            ends.append(last)
        else:
            ends.append(max(min(last, due + int(allowed / weight) + 1), known.end[job.index]))
    return ends


def held(floor: Floor, known: Placement) -> dict[int, int]:
    """When the work under way leaves each single station and hand that it is on."""
    held: dict[int, int] = {}
    for job in floor.jobs:
        if job.under_way:
            for resource in job.modes[known.mode[job.index]].uses:
                if floor.capacity[resource] == 1:
                    held[resource] = max(held.get(resource, 0), known.end[job.index])
    return held


def sharing(floor: Floor) -> set[int]:
    """Stations on which some job can keep the set-up of the one before it."""
    return {
        mode.station
        for job in floor.jobs
        if job.family
        for mode in job.modes
        if mode.shares_setup and mode.work != mode.work_setup
    }
