"""Random shops planned by a scheduling library that knows nothing of this one.

Source: L. Lan and J. Berkhout, PyJobShop: solving scheduling problems with constraint programming
in Python, arXiv 2502.13483 (2025); the library is MIT-licensed and only used here.
"""

from dataclasses import replace
from datetime import datetime, timedelta
from random import Random

import pytest
from pyjobshop import Model

from shop.core.plan.check import check
from shop.core.plan.planner import plan
from shop.core.plan.prices import Prices
from shop.core.plan.problem import Goal, Order, Problem, Resource, Task
from shop.core.plan.schedule import Budget
from tests.shop.core.plan.shops import NOW, a_hand, a_problem, a_station, at

STEPS = 96 * 7
"""A week of quarters of an hour."""
TICK = timedelta(minutes=15)


def a_shop(seed: int) -> Problem:
    """Two stations with the hours of the day, two hands who are always there, pauses or none."""
    random = Random(seed)
    tasks = []
    for i in range(6):
        tasks.append(
            Task(
                key=str(i),
                minutes=15 * random.randint(2, 12),
                minutes_on={"planer": 15.0 * random.randint(2, 9)} if random.random() < 0.4 else {},
                stations=tuple(random.sample(["saw", "planer"], random.choice([1, 2]))),
                hands=tuple(random.sample(["Ada", "Ben"], random.choice([1, 2]))),
                after=tuple(str(j) for j in range(i) if random.random() < 0.25),
                lag_min=random.choice([0, 0, 60, 900]),
                release=random.choice([None, None, at(11)]),
                order=random.choice("xyz"),
                breakable=random.random() < 0.7,
            )
        )
    orders = [
        Order(key=key, due=at(random.choice([11, 13, 16])), weight=random.randint(1, 3))
        for key in "xyz"
    ]
    problem = a_problem(
        [a_station("saw"), a_station("planer")]
        + [a_hand(name, calendar="always") for name in ("Ada", "Ben")],
        tasks,
        orders,
        goal=random.choice(list(Goal)),
        tick_min=15,
    )
    return replace(problem, prices=random.choice([Prices(), Prices(lateness=0, late_orders=15)]))


def steps(when: datetime) -> int:
    return (when - NOW) // TICK


def breaks_of(problem: Problem, resource: Resource) -> list[tuple[int, int]]:
    calendar = problem.calendars[resource.calendar]
    openings = [(steps(o.start), steps(o.end)) for o in calendar.openings(NOW, NOW + STEPS * TICK)]
    ends = [0, *(end for _, end in openings)]
    starts = [*(start for start, _ in openings), STEPS]
    return [(a, b) for a, b in zip(ends, starts, strict=True) if a < b]


def least(problem: Problem) -> float:
    """The least value of the goal, in quarters of an hour."""
    model = Model()
    machines = {r.key: model.add_machine(breaks=breaks_of(problem, r)) for r in problem.resources}
    used = {task.order for task in problem.tasks}
    jobs = {
        order.key: model.add_job(weight=int(order.weight), due_date=steps(order.due))
        for order in problem.orders
        if order.key in used and order.due is not None
    }
    tasks = {}
    for task in problem.tasks:
        tasks[task.key] = model.add_task(
            jobs[task.order],
            earliest_start=steps(task.release) if task.release is not None else 0,
            allow_breaks=task.breakable,
        )
        for station in task.stations:
            for hand in task.hands:
                model.add_mode(
                    tasks[task.key],
                    [machines[station], machines[hand]],
                    int(task.work_min(station)) // 15,
                )
        for key in task.after:
            model.add_end_before_start(tasks[key], tasks[task.key], int(task.lag_min) // 15)
    late = problem.prices.late_orders > 0
    if problem.goal is Goal.MAKESPAN:
        model.set_objective(weight_makespan=1)
    else:
        model.set_objective(weight_tardy_jobs=int(late), weight_total_tardiness=int(not late))
    result = model.solve(display=False, num_workers=1, time_limit=20)
    assert result.status.value == "Optimal"
    return float(result.objective)


@pytest.mark.parametrize("seed", range(30))
def test_a_random_shop_is_planned_as_well_as_by_another_library(seed: int) -> None:
    problem = a_shop(seed)
    schedule = plan(problem, budget=Budget(evaluations=1000))
    assert check(problem, schedule) == ()
    assert schedule.proved
    assert schedule.objective.main(problem.goal) / 15 == pytest.approx(least(problem))
