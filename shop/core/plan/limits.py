"""What can be said of every good plan before the solver looks for it."""

from shop.core.plan.dispatch import Placement
from shop.core.plan.floor import Floor
from shop.core.plan.hours import Hours
from shop.core.plan.measure import lateness_of
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
            j = next(k for k, last in enumerate(hours.ends) if last >= fit[1])
            until = min(end - 1, tick + hours.ends[j] - fit[1])
            stop = min(until, latest - (fit[1] - tick))
            if stop >= tick:
                groups.setdefault(fit[1] - tick - ticks, []).append([tick, stop])
            tick = until + 1
    return groups


def serial_end(floor: Floor, known: Placement) -> int:
    """A tick by which some best plan is over: the longest wait, then one job after another."""
    last = max((max(job.release, job.fixed_start or 0) for job in floor.jobs), default=0)
    for job in floor.jobs:
        last += job.lag + job.gear_hold
        fits = [
            mode.hours.fit(last, mode.work_setup, job.breakable) if mode.hours else None
            for mode in job.modes
        ]
        beyond = max((mode.hours.ends[-1] for mode in job.modes if mode.hours), default=0)
        ends = [
            last + mode.work_setup if mode.hours is None else (fit[1] if fit else beyond)
            for mode, fit in zip(job.modes, fits, strict=True)
        ]
        last = max([last, *ends])
    return max([last, *known.end])


def latest(floor: Floor, goal: Goal, known: Placement, last: int) -> list[int]:
    """The last end of each job in any plan that is as good as the known one."""
    if known.missed:
        return [last] * len(floor.jobs)
    if goal is Goal.MAKESPAN:
        return [max(known.end, default=0)] * len(floor.jobs)
    allowed = lateness_of(floor, known.end)
    latest = []
    for job in floor.jobs:
        due = floor.due[job.order] if job.order >= 0 else None
        weight = floor.weight[job.order] if job.order >= 0 else 0.0
        if due is None or weight <= 0:
            latest.append(last)
        else:
            latest.append(max(min(last, due + int(allowed / weight) + 1), known.end[job.index]))
    return latest


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
