"""From places in ticks to bookings on the clock, and what they are worth."""

from datetime import UTC, timedelta

from shop.core.plan.dispatch import Placement
from shop.core.plan.floor import MOVED, Floor
from shop.core.plan.problem import Goal, Problem, Told
from shop.core.plan.rules import in_working_order
from shop.core.plan.schedule import Booking, Objective

Rank = tuple[float, ...]


def bookings_of(problem: Problem, floor: Floor, placement: Placement) -> tuple[Booking, ...]:
    """The bookings in the order in which they start."""
    resources, at = problem.resources, floor.ticks.at
    found = []
    for task, job in zip(problem.tasks, floor.jobs, strict=True):
        mode = job.modes[placement.mode[job.index]]
        start, end = placement.start[job.index], placement.end[job.index]
        spans = [(start, end)] if mode.hours is None else mode.hours.pieces(start, end)
        hands = [resources[i].key for i in mode.hands]
        if task.pinned_hand is not None:
            hands.sort(key=lambda key: key != task.pinned_hand)
        found.append(
            Booking(
                task=task.key,
                station=resources[mode.station].key if mode.station >= 0 else None,
                hand=hands[0] if hands else None,
                helpers=tuple(hands[1:]),
                start=at(start),
                end=at(end),
                pieces=tuple((at(a), at(b)) for a, b in spans),
            )
        )
    return tuple(sorted(found, key=lambda booking: (booking.start, booking.end)))


def objective_of(problem: Problem, bookings: tuple[Booking, ...]) -> Objective:
    """The measures of a plan, from its bookings alone."""
    minute, now = timedelta(minutes=1), problem.now.astimezone(UTC)
    tasks = {task.key: task for task in problem.tasks}
    done: dict[str, float] = {}
    makespan = completion = setup = 0.0
    for booking in bookings:
        task = tasks[booking.task]
        end = (booking.end - now) / minute
        makespan, completion = max(makespan, end), completion + end
        done[task.order] = max(done.get(task.order, 0.0), end)
        work = sum((b - a) / minute for a, b in booking.pieces)
        setup += max(0.0, work - task.work_min(booking.station))
    lateness, late = 0.0, []
    for order in problem.orders:
        if order.due is not None and order.key in done:
            minutes = done[order.key] - (order.due.astimezone(UTC) - now) / minute
            if minutes > 0:
                lateness += order.weight * minutes
                late.append(order.key)
    moved = tuple(b.task for b in bookings if is_moved(tasks[b.task].told, b))
    return Objective(
        weighted_lateness_min=lateness,
        makespan_min=makespan,
        completion_min=completion / len(bookings) if bookings else 0.0,
        setup_min=setup,
        late_orders=tuple(late),
        moved=moved,
        move_cost=len(moved) * problem.move_price,
    )


def is_moved(told: Told | None, booking: Booking) -> bool:
    """Whether a booking is not where people were told."""
    if told is None:
        return False
    crew = booking.station, set(booking.hands)
    return abs(booking.start - told.start) > MOVED or crew != (told.station, set(told.hands))


def rank_of(floor: Floor, goal: Goal, placement: Placement) -> Rank:
    """Sorts placements as `Objective.rank` sorts plans, in ticks: the least is the best."""
    end = placement.end
    makespan = float(max(end, default=0))
    main = makespan
    if goal is Goal.LATENESS:
        main = lateness_of(floor, end) + _moves(floor, placement)
    return (main, makespan, float(sum(end)))


def _moves(floor: Floor, placement: Placement) -> float:
    if floor.move_price <= 0:
        return 0.0
    places = zip(floor.jobs, placement.mode, placement.start, strict=True)
    return floor.move_price * sum(floor.is_moved(*place) for place in places)


def lateness_of(floor: Floor, end: tuple[int, ...]) -> float:
    """Weighted ticks that orders are late; an order without jobs never is."""
    done = [due or 0 for due in floor.due]
    for order, tick in zip(floor.in_order, end, strict=True):
        if order >= 0 and tick > done[order]:
            done[order] = tick
    return sum(
        weight * (tick - due)
        for weight, tick, due in zip(floor.weight, done, floor.due, strict=True)
        if due is not None and tick > due
    )


def bound_of(floor: Floor, goal: Goal) -> float:
    """A value in ticks that no plan falls below: every job as early as if it were alone.

    For the makespan also the work that a single station or hand must do by itself.
    """
    end = [0] * len(floor.jobs)
    for job in in_working_order(floor):
        start = max((end[i] + job.lag for i in job.before), default=0)
        start = max(start, job.release, job.fixed_start or 0)
        fits = (m.hours.fit(start, m.work, job.breakable) for m in job.modes if m.hours)
        ends = [fit[1] for fit in fits if fit is not None]
        end[job.index] = min(ends, default=start + job.least_work)
    if goal is Goal.LATENESS:
        return lateness_of(floor, tuple(end))
    return float(max([*end, *_loads(floor)], default=0))


def _loads(floor: Floor) -> list[int]:
    load = [0] * len(floor.capacity)
    for job in floor.jobs:
        for resource in set.intersection(*(set(mode.uses) for mode in job.modes)):
            load[resource] += job.least_work
    return [-(-work // room) for work, room in zip(load, floor.capacity, strict=True)]
