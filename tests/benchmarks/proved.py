"""A family of `planning`: random shops of at most sixty tasks, some of which CP-SAT proves.

CP-SAT has the whole model of each, with the best of the rules as its hint, until it has proved its
plan or its time is up; shops with work in batches, which its model does not know, are left out, and
the checker passes what it proves. What the planner finds in the usual time must be worth the same.
Time is the solver's own measure, near to seconds, and seconds of the processor.
"""

from argparse import Namespace
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from random import Random
from time import process_time

from shop.core.plan.check import check
from shop.core.plan.dispatch import BeyondHours, PinsClash, dispatch
from shop.core.plan.exact import Answer, solve
from shop.core.plan.floor import lay_out
from shop.core.plan.measure import bookings_of, objective_of, rank_of
from shop.core.plan.planner import plan
from shop.core.plan.problem import Goal, Problem
from shop.core.plan.rules import rules
from shop.core.plan.schedule import Budget, Schedule
from tests.shop.core.plan.shops import a_joinery_shop, a_random_shop

MANY = 10**9
MOST = 60
AIM = "98 of 100"


def measure_proved(options: Namespace) -> Iterator[str]:
    """One line per shop that is missed, and how many of those proved are found."""
    tried = found = proved = ours = 0
    while proved < options.shops:
        problem = _shop(options.seed + tried)
        tried += 1
        best = _proved(problem, options.rival_seconds)
        if best is None:
            continue
        proved += 1
        budget = Budget(evaluations=MANY, seconds=options.seconds)
        schedule = plan(problem, budget=budget, clock=process_time, is_compiled=True)
        value = schedule.objective.main(problem.goal)
        ours += schedule.proved
        if value <= best + 1e-6:
            found += 1
        else:
            yield (
                f"missed: shop {options.seed + tried - 1}, {len(problem.tasks)} tasks, "
                f"{problem.goal}: {value:.0f} instead of {best:.0f} by {schedule.method}"
            )
        if proved % 10 == 0:
            yield f"{found} of {proved} proved found ({ours} proved too), {tried} tried"
    yield f"random shops of at most {MOST} tasks: {found} of {proved} found; aim {AIM}"


def _shop(seed: int) -> Problem:
    """Every other one of any shape, the others a joiner's; half of those of any shape by makespan."""
    random = Random(seed)
    if seed % 2:
        problem = a_joinery_shop(seed, random.randint(1, 3), people=random.randint(3, 6))
        if len(problem.tasks) <= MOST:
            return problem
        return a_joinery_shop(seed, 1, people=4)
    goal = Goal.MAKESPAN if seed % 4 else Goal.LATENESS
    return replace(a_random_shop(seed, random.randint(10, MOST)), goal=goal)


def _proved(problem: Problem, effort: float) -> float | None:
    """What the best plan is worth in minutes, if CP-SAT proves it."""
    floor = lay_out(problem, problem.now + timedelta(days=200))
    try:
        known = [dispatch(floor, choose) for _, choose in rules(floor)]
    except (BeyondHours, PinsClash):
        return None
    hint = min(known, key=lambda p: rank_of(floor, problem.goal, p))
    is_batched = any(job.is_batched for job in floor.jobs)
    if hint.missed or is_batched or len(problem.tasks) > MOST:
        return None
    answer: Answer = solve(
        floor, problem.goal, hint, effort=effort, seconds=1e6, seed=1, tell=lambda _: False
    )
    if not answer.proved or answer.placement is None:
        return None
    bookings = bookings_of(problem, floor, answer.placement)
    best = Schedule(
        bookings=bookings, objective=objective_of(problem, bookings), method="", lower_bound=None
    )
    return best.objective.main(problem.goal) if not check(problem, best) else None
