"""What people were told: moving it costs, and a plan that is known is the first to be tried."""

from dataclasses import replace
from random import Random

import pytest

from shop.core.calendar import Closure
from shop.core.plan.check import check
from shop.core.plan.planner import plan
from shop.core.plan.problem import Goal, Order, Problem, Task, Told
from shop.core.plan.schedule import Booking, Budget, Schedule
from tests.shop.core.plan.shops import (
    DAY_SHIFT,
    a_hand,
    a_joinery_shop,
    a_problem,
    a_random_shop,
    at,
)

FEW = Budget(evaluations=60, seconds=600)


def told(problem: Problem, bookings: tuple[Booking, ...], price: float) -> Problem:
    """The same shop with everybody told what these bookings say."""
    said = {b.task: Told(start=b.start, station=b.station, hands=b.hands) for b in bookings}
    tasks = tuple(replace(task, told=said.get(task.key)) for task in problem.tasks)
    return replace(problem, tasks=tasks, move_price=price)


def two_on_one_bench(price: float) -> Problem:
    """One task was told to go first, but another is due then."""
    problem = a_problem(
        [a_hand("Ada")],
        [
            Task(key="told", minutes=60, hands=("Ada",), told=Told(start=at(8), hands=("Ada",))),
            Task(key="rush", minutes=60, hands=("Ada",), order="rush"),
        ],
        [Order(key="rush", due=at(9), weight=1)],
    )
    return replace(problem, move_price=price)


@pytest.mark.parametrize(("price", "moves"), [(30, ("told",)), (90, ())])
def test_what_was_told_moves_only_for_what_costs_more(price: float, moves: tuple[str, ...]) -> None:
    problem = two_on_one_bench(price)
    schedule = plan(problem, budget=FEW)
    assert schedule.objective.moved == moves
    assert schedule.objective.main(problem.goal) == min(price, 60)
    assert check(problem, schedule) == ()


@pytest.mark.parametrize("seed", range(25))
def test_a_plan_with_tasks_that_were_told_breaks_no_rule(seed: int) -> None:
    problem = replace(a_random_shop(seed, 10), goal=Goal.LATENESS)
    random = Random(seed)
    first = plan(problem, budget=Budget(evaluations=12))
    again = told(problem, tuple(b for b in first.bookings if random.random() < 0.5), 25.0)
    schedule = plan(again, budget=FEW)
    assert check(again, schedule) == ()
    least = schedule.lower_bound
    assert least is not None
    assert least <= schedule.objective.main(again.goal) + 1e-6


def test_a_known_plan_stays_where_nothing_has_changed() -> None:
    problem = a_joinery_shop(3, 6, people=3)
    first = plan(problem, budget=Budget(evaluations=200))
    known = {b.task: b for b in first.bookings}
    again = told(problem, first.bookings, 60.0)
    schedule = plan(again, budget=Budget(evaluations=40), known=known)
    assert schedule.objective.moved == ()
    assert schedule.objective.weighted_lateness_min <= first.objective.weighted_lateness_min


def test_a_known_plan_goes_round_somebody_who_falls_ill() -> None:
    problem = a_joinery_shop(3, 6, people=3)
    first = plan(problem, budget=Budget(evaluations=200))
    ill = Closure(start=at(0), end=at(0, day=2), reason="ill")
    calendars = {**problem.calendars, "ill": replace(DAY_SHIFT, closures=(ill,))}
    resources = tuple(
        replace(r, calendar="ill") if r.key == "hand 1" else r for r in problem.resources
    )
    soon = tuple(b for b in first.bookings if b.start < at(0, day=2))
    again = replace(told(problem, soon, 5000.0), calendars=calendars, resources=resources)
    known = {b.task: b for b in first.bookings}
    kept, fresh = (
        plan(again, budget=Budget(evaluations=20), known=plans) for plans in (known, None)
    )
    assert check(again, kept) == ()
    assert len(kept.objective.moved) < len(fresh.objective.moved)


def test_a_move_that_is_not_confessed_is_found() -> None:
    problem = two_on_one_bench(30)
    schedule = plan(problem, budget=FEW)
    silent: Schedule = replace(
        schedule, objective=replace(schedule.objective, moved=(), move_cost=0.0)
    )
    assert {violation.kind for violation in check(problem, silent)} == {"measure"}
