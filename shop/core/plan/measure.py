"""From places in ticks to bookings on the clock, and what they are worth."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cached_property

from shop.core.plan.dispatch import Placement
from shop.core.plan.floor import MOVED, Floor
from shop.core.plan.overtime import Beyond, overtime_min
from shop.core.plan.prices import Measure
from shop.core.plan.problem import Goal, Problem, Task, Told
from shop.core.plan.rules import in_working_order
from shop.core.plan.schedule import Booking, Objective

Rank = tuple[float, ...]


@dataclass(frozen=True)
class Found:
    """A placement, how it was found, and its rank; what is told of it is made once it is asked for."""

    problem: Problem
    floor: Floor
    placement: Placement
    method: str
    rank: Rank

    @cached_property
    def bookings(self) -> tuple[Booking, ...]:
        """Its bookings."""
        return bookings_of(self.problem, self.floor, self.placement)

    @cached_property
    def objective(self) -> Objective:
        """What they are worth."""
        return objective_of(self.problem, self.bookings)


def bookings_of(problem: Problem, floor: Floor, placement: Placement) -> tuple[Booking, ...]:
    """The bookings in the order in which they start."""
    resources, at = problem.resources, floor.ticks.at
    found, beyond = [], Beyond(problem, floor.ticks.at(max(placement.end, default=0)))
    for task, job in zip(problem.tasks, floor.jobs, strict=True):
        mode = job.modes[placement.mode[job.index]]
        start, end = placement.start[job.index], placement.end[job.index]
        spans = [(start, end)] if mode.hours is None else mode.hours.pieces(start, end)
        hands = [resources[i].key for i in mode.hands]
        if task.pinned_hand is not None:
            hands.sort(key=lambda key: key != task.pinned_hand)
        pieces = tuple((at(a), at(b)) for a, b in spans)
        paid = [resources[i].key for i in mode.hands or mode.crew] if mode.regular else []
        found.append(
            Booking(
                task=task.key,
                station=resources[mode.station].key if mode.station >= 0 else None,
                hand=hands[0] if hands else None,
                helpers=tuple(hands[1:]),
                start=at(start),
                end=at(end),
                pieces=pieces,
                overtime=beyond.any_of(paid, pieces),
            )
        )
    return tuple(sorted(found, key=lambda booking: (booking.start, booking.end)))


def objective_of(problem: Problem, bookings: tuple[Booking, ...]) -> Objective:
    """The measures of a plan, from its bookings alone."""
    minute, now = timedelta(minutes=1), problem.now.astimezone(UTC)
    tasks = {task.key: task for task in problem.tasks}
    ends = {booking.task: booking.end for booking in bookings}
    done: dict[str, float] = {}
    begun = {order.key: 0.0 for order in problem.orders if order.is_begun}
    makespan = completion = setup = idle = 0.0
    for booking in bookings:
        task = tasks[booking.task]
        start, end = (booking.start - now) / minute, (booking.end - now) / minute
        makespan, completion = max(makespan, end), completion + end
        done[task.order] = max(done.get(task.order, 0.0), end)
        begun[task.order] = min(begun.get(task.order, start), start)
        work = sum((b - a) / minute for a, b in booking.pieces)
        if task.away is None:
            own = _whole_ticks(task.work_min(booking.station), problem.tick_min)
            setup += max(0.0, work - own)
        idle += max(0.0, (booking.start - _ready(task, ends, problem)) / minute)
    late = {}
    for order in problem.orders:
        if order.due is not None and order.key in done:
            minutes = done[order.key] - (order.due.astimezone(UTC) - now) / minute
            if minutes > 0:
                late[order.key] = order.weight, minutes
    amounts = {
        Measure.LATENESS: sum(weight * minutes for weight, minutes in late.values()),
        Measure.LATE_ORDERS: sum(weight for weight, _ in late.values()),
        Measure.OVERTIME: overtime_min(problem, bookings),
        Measure.SETUP: setup,
        Measure.IN_PROGRESS: sum(
            done[o.key] - begun[o.key] for o in problem.orders if o.key in done
        ),
        Measure.IDLE: idle,
    }
    moved = tuple(b.task for b in bookings if is_moved(tasks[b.task].told, b))
    return Objective(
        weighted_lateness_min=amounts[Measure.LATENESS],
        makespan_min=makespan,
        completion_min=completion / len(bookings) if bookings else 0.0,
        setup_min=setup,
        overtime_min=amounts[Measure.OVERTIME],
        in_progress_min=amounts[Measure.IN_PROGRESS],
        idle_min=idle,
        late_orders=tuple(late),
        costs=problem.prices.cost(amounts),
        weighed=(problem.weights or problem.prices).cost(amounts),
        moved=moved,
        move_cost=len(moved) * problem.move_price,
    )


def _ready(task: Task, ends: Mapping[str, datetime], problem: Problem) -> datetime:
    """When a task could go on by what comes before it; its own start where nothing does."""
    if task.under_way or not task.after or task.batch_share < 1:
        return datetime.max.replace(tzinfo=UTC)
    ready = max(ends[key] for key in task.after) + timedelta(minutes=task.lag_min)
    return max(ready, problem.now if task.release is None else task.release)


def _whole_ticks(minutes: float, tick_min: int) -> float:
    return -(-minutes // tick_min) * tick_min


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
    main = makespan if goal is Goal.MAKESPAN else cost_of(floor, placement)
    return (main, makespan, float(sum(end)))


def cost_of(floor: Floor, placement: Placement) -> float:
    """What a placement costs by all measures and moves, in ticks that an order is late."""
    return (
        lateness_of(floor, placement.end)
        + _begun(floor, placement)
        + sum(_priced(floor, placement))
        + _moves(floor, placement)
    )


def _priced(floor: Floor, placement: Placement) -> Iterator[float]:
    """What set-ups, overtime and idle pieces cost, job by job; nothing where they have no price."""
    prices = floor.prices
    if prices.setup > 0 or prices.overtime > 0:
        for job, number, start, end in zip(
            floor.jobs, placement.mode, placement.start, placement.end, strict=True
        ):
            mode = job.modes[number]
            yield prices.setup * (mode.used(start, end) - mode.work)
            yield prices.overtime * floor.overtime(mode, start, end)
    if prices.idle > 0:
        for job, start in zip(floor.jobs, placement.start, strict=True):
            if job.before and not job.is_batched:
                ready = max(placement.end[i] for i in job.before) + job.lag
                yield prices.idle * max(0, start - max(ready, job.release))


def _begun(floor: Floor, placement: Placement) -> float:
    """What orders in progress cost."""
    if floor.prices.in_progress <= 0:
        return 0.0
    first = [0 if begun else None for begun in floor.begun]
    last = [0 for _ in floor.begun]
    for order, start, end in zip(floor.in_order, placement.start, placement.end, strict=True):
        if order >= 0:
            known = first[order]
            first[order] = start if known is None else min(known, start)
            last[order] = max(last[order], end)
    ticks = sum(b - (a or 0) for a, b in zip(first, last, strict=True))
    return floor.prices.in_progress * ticks


def _moves(floor: Floor, placement: Placement) -> float:
    if floor.move_price <= 0:
        return 0.0
    places = zip(floor.jobs, placement.mode, placement.start, strict=True)
    return floor.move_price * sum(floor.is_moved(*place) for place in places)


def lateness_of(floor: Floor, end: tuple[int, ...]) -> float:
    """What late orders cost, in ticks."""
    return sum(
        floor.weight[order] * ticks + floor.late_price[order]
        for order, ticks in late_in(floor, end).items()
    )


def late_in(floor: Floor, end: tuple[int, ...]) -> dict[int, int]:
    """By how many ticks each late order is late; one without jobs is never late."""
    done = [due or 0 for due in floor.due]
    for order, tick in zip(floor.in_order, end, strict=True):
        if order >= 0 and tick > done[order]:
            done[order] = tick
    return {
        order: tick - due
        for order, (tick, due) in enumerate(zip(done, floor.due, strict=True))
        if due is not None and tick > due
    }


def bound_of(floor: Floor, goal: Goal) -> float:
    """A value in ticks that no plan falls below: every job as early as if it were alone.

    For the makespan also the work that a single station or hand must do by itself.
    """
    end = [0] * len(floor.jobs)
    for job in in_working_order(floor):
        # In batches a task may go before; only its end is behind what it takes over.
        start = 0 if job.is_batched else max((end[i] + job.lag for i in job.before), default=0)
        start = max(start, job.release, job.fixed_start or 0)
        fits = (m.hours.fit(start, m.work, job.breakable) for m in job.modes if m.hours)
        ends = [fit[1] for fit in fits if fit is not None]
        end[job.index] = min(ends, default=start + job.least_work)
        if job.is_batched:
            end[job.index] = max(end[job.index], *(end[i] for i in job.before))
    if goal is Goal.LATENESS:
        return lateness_of(floor, tuple(end))
    return float(max([*end, *_loads(floor)], default=0))


def _loads(floor: Floor) -> list[int]:
    load = [0] * len(floor.capacity)
    for job in floor.jobs:
        for resource in set.intersection(*(set(mode.uses) for mode in job.modes)):
            load[resource] += job.least_work
    return [-(-work // room) for work, room in zip(load, floor.capacity, strict=True)]
