"""A known plan put together again for a shop that has changed: as it was, as far as that can be.

Its tasks are placed one after another in the order in which they stood, each as early as it can be
and with the same station and hands where those still serve. What the plan does not know comes last
and takes what room is left, so that it disturbs nothing; only curing goes with what it follows.
"""

from collections.abc import Mapping

from shop.core.plan import kernel
from shop.core.plan.dispatch import Placement, placed_first
from shop.core.plan.floor import Floor, Job
from shop.core.plan.problem import Goal, Problem
from shop.core.plan.rules import in_working_order
from shop.core.plan.schedule import Booking
from shop.core.plan.tables import Store, found_in, store_of


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
    whole = store.whole + [0] * (store.size - len(store.whole))
    if keeps_staff:
        for task, job in zip(problem.tasks, floor.jobs, strict=True):
            number = _same_staff(problem, job, known.get(task.key))
            if number is not None:
                pin = store.modes[job.index] + kernel.MODE * number
                whole[store.jobs[job.index] + kernel.PIN0] = pin
    return first, store, whole


def _in_line(
    problem: Problem, floor: Floor, known: Mapping[str, Booking], first: Placement
) -> Placement:
    """Where each job stood, as the place at which its turn comes; those of no place come last."""
    turns: dict[int, tuple[int, float]] = {}
    for job in in_working_order(floor):
        booking = known.get(problem.tasks[job.index].key)
        is_curing = bool(job.before) and not any(mode.uses for mode in job.modes)
        wanted = (int(not is_curing), 0.0)
        if booking is not None:
            wanted = (0, booking.start.timestamp())
        turns[job.index] = max([wanted, *(turns[i] for i in job.before)])
    # The sort is stable and the jobs are in working order, so that none comes before its own need.
    start = list(first.start)
    for turn, i in enumerate(sorted(turns, key=turns.__getitem__)):
        if first.mode[i] < 0:
            start[i] = turn
    mode = tuple(max(0, number) for number in first.mode)
    end = tuple(max(at, done) for at, done in zip(start, first.end, strict=True))
    return Placement(mode, tuple(start), end)


def _same_staff(problem: Problem, job: Job, booking: Booking | None) -> int | None:
    """The mode with the station, the hands and the overtime of a booking."""
    if booking is None:
        return None
    wanted = {*booking.hands} | ({booking.station} if booking.station else set())
    same = [
        number
        for number, mode in enumerate(job.modes)
        if {problem.resources[i].key for i in mode.uses} == wanted
    ]
    same.sort(key=lambda number: bool(job.modes[number].regular) != bool(booking.overtime))
    return same[0] if same else None
