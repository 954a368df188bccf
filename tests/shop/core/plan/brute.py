"""Trying everything: the best value of a tiny shop, by every order of tasks and every staffing.

Any plan is no worse when each task, taken in the order of starts, begins as early as it can after
what is already on its station and hand; so every order with every staffing holds an optimum. Single
stations and hands only, in UTC; two tasks of a hand may go together where it minds the one. It
counts open minutes one by one.
"""

from datetime import timedelta
from itertools import permutations, product
from math import inf

from shop.core.plan.problem import Away, Goal, Problem, Task

DAYS = 6


def best_main(problem: Problem) -> float:
    """The least value of the goal, in minutes."""
    steps = DAYS * 24 * 60 // problem.tick_min
    tick = timedelta(minutes=problem.tick_min)
    open_at = {
        resource.key: [
            problem.calendars[resource.calendar].is_open(problem.now + step * tick)
            for step in range(steps)
        ]
        for resource in problem.resources
    }
    ways = [list(product(task.stations or ("",), task.hands or ("",))) for task in problem.tasks]
    places: dict[tuple[str, str], list[bool]] = {
        (s, h): [a and b for a, b in zip(open_at[s], open_at[h], strict=True)]
        for s in open_at
        for h in open_at
    }
    return min(
        _value(problem, order, staffing, places)
        for order in permutations(range(len(problem.tasks)))
        if _is_possible(problem.tasks, order)
        for staffing in product(*ways)
    )


def _is_possible(tasks: tuple[Task, ...], order: tuple[int, ...]) -> bool:
    seen: set[str] = set()
    for i in order:
        if not seen.issuperset(tasks[i].after):
            return False
        seen.add(tasks[i].key)
    return True


def _value(
    problem: Problem,
    order: tuple[int, ...],
    staffing: tuple[tuple[str, str], ...],
    places: dict[tuple[str, str], list[bool]],
) -> float:
    free = {resource.key: 0 for resource in problem.resources}
    of_hand: dict[str, list[int]] = {resource.key: [] for resource in problem.resources}
    family = {resource.key: resource.family for resource in problem.resources}
    end: dict[str, int] = {}
    for i in order:
        task, (station, hand) = problem.tasks[i], staffing[i]
        if task.away is not None:
            ready = max((end[key] for key in task.after), default=0)
            back = _back(problem, task.away, ready)
            if back is None:
                return inf
            end[task.key] = back
            continue
        lag = int(task.lag_min) // problem.tick_min
        alone = [
            end[problem.tasks[j].key]
            for j in of_hand[hand]
            if not _together(problem, i, j, staffing)
        ]
        ready = max([free[station], *alone, *(end[key] + lag for key in task.after)])
        if task.release is not None:
            ready = max(ready, (task.release - problem.now) // timedelta(minutes=problem.tick_min))
        kept = 0.0 if family[station] == task.family else task.setup_min
        minutes = task.minutes + task.setup_after.get(family[station], kept)
        work = -int(-minutes // problem.tick_min)
        finish = _end(places[station, hand], ready, work, task.breakable)
        if finish is None:
            return inf
        end[task.key] = finish
        free[station] = end[task.key]
        of_hand[hand].append(i)
        family[station] = task.family
    if problem.goal is Goal.MAKESPAN:
        return float(max(end.values()) * problem.tick_min)
    return sum(_lateness(problem, order.key, order.weight, end) for order in problem.orders)


def _together(problem: Problem, i: int, j: int, staffing: tuple[tuple[str, str], ...]) -> bool:
    places = {resource.key: resource for resource in problem.resources}
    one, other = places[staffing[i][0]], places[staffing[j][0]]
    if not problem.allows_minding or one.area == "" or one.area != other.area:
        return False
    if one.may_be_left:
        return not other.may_be_left and problem.tasks[j].is_light
    return other.may_be_left and problem.tasks[i].is_light


def _back(problem: Problem, away: Away, ready: int) -> int | None:
    """When pieces that are ready are back, asking each step whether they can leave or come."""
    out, back = problem.calendars[away.out], problem.calendars[away.back]
    tick = timedelta(minutes=problem.tick_min)
    ahead = [problem.now + step * tick for step in range(DAYS * 24 * 60 // problem.tick_min)]
    leaving = (any(map(out.is_open, (at, at - timedelta.resolution))) for at in ahead[ready:])
    left = next((i for i, may in enumerate(leaving, ready) if may), None)
    if left is None:
        return None
    first = ahead[left].date() + timedelta(days=away.days)
    return next(
        (
            i
            for i in range(left + 1, len(ahead))
            if ahead[i].date() >= first and back.is_open(ahead[i])
        ),
        None,
    )


def _end(is_open: list[bool], ready: int, work: int, breakable: bool) -> int | None:
    done, step = 0, ready
    while done < work:
        if step == len(is_open):
            return None
        if is_open[step]:
            done += 1
        elif not breakable:
            done = 0
        step += 1
    return step


def _lateness(problem: Problem, key: str, weight: float, end: dict[str, int]) -> float:
    due = next(order.due for order in problem.orders if order.key == key)
    ends = [end[task.key] for task in problem.tasks if task.order == key]
    if not ends or due is None:
        return 0.0
    minutes = max(ends) * problem.tick_min - (due - problem.now) / timedelta(minutes=1)
    return weight * max(0.0, minutes)
