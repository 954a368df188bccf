"""Whether every task fits somewhere into the hours laid out for it."""

from orders.core.errors import RuleBroken
from shop.core.plan.floor import Floor, Job
from shop.core.plan.hours import Hours
from shop.core.plan.problem import Problem, Task

MOST_FAULTS = 20


def without_room(problem: Problem, floor: Floor) -> list[RuleBroken]:
    """Faults of tasks that fit nowhere in the hours laid out on the floor."""
    faults: list[RuleBroken] = []
    for i, (task, job) in enumerate(zip(problem.tasks, floor.jobs, strict=True)):
        fault = _room_fault(task, job, floor)
        if fault is not None:
            faults.append(fault.under(f"tasks/{i}"))
    return faults[:MOST_FAULTS]


def _room_fault(task: Task, job: Job, floor: Floor) -> RuleBroken | None:
    name = f"“{task.name}”"
    if task.away is not None and not job.modes:
        return RuleBroken(
            "away",
            f"{name} leaves while “{task.away.out}” is open and comes back while “{task.away.back}” "
            "is, but no day to leave is followed by one to come back before the plan ends; open "
            "other days, or let it be away for fewer.",
        )
    if not job.modes:
        return RuleBroken(
            "hands" if task.hands or task.skills else "stations",
            f"The station and the hands that {name} needs are never at work at the same time; "
            "open common hours or allow others.",
        )
    ways = [(mode.hours, mode.work) for mode in job.modes]
    if not job.breakable and all(isinstance(h, Hours) and h.longest < work for h, work in ways):
        longest = max(h.longest for h, _ in ways if isinstance(h, Hours)) * floor.ticks.step
        return RuleBroken(
            "breakable",
            f"{name} takes {task.minutes:g} minutes without a pause, but the longest opening is "
            f"{longest.total_seconds() / 60:g} minutes; split it, let it pause, or open longer.",
        )
    if job.fixed_start is not None and task.pinned_start is not None:
        if task.release is not None and job.fixed_start < job.release:
            return RuleBroken(
                "pinned_start",
                f"{name} is pinned to {task.pinned_start:%Y-%m-%d %H:%M}, before it may begin on "
                f"{task.release.astimezone(task.pinned_start.tzinfo):%Y-%m-%d %H:%M}; pin it later.",
            )
        fits = (
            h is None
            or (h.fit(job.fixed_start, work, job.breakable) or (-1,))[0] == job.fixed_start
            for h, work in ways
        )
        if not any(fits) or floor.ticks.at(job.fixed_start) != task.pinned_start:
            return RuleBroken(
                "pinned_start",
                f"{name} is pinned to {task.pinned_start:%Y-%m-%d %H:%M}, when it cannot run because "
                "its station or hand is closed or goes too soon; pin it to a working time.",
            )
    return None
