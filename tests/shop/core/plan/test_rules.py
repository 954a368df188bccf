"""Dispatching rules: each one alone makes a plan that holds."""

from dataclasses import replace
from datetime import timedelta

import pytest

from shop.core.plan.check import check
from shop.core.plan.dispatch import BeyondHours, dispatch
from shop.core.plan.floor import lay_out
from shop.core.plan.measure import bookings_of, objective_of
from shop.core.plan.problem import Order, Problem, Task
from shop.core.plan.rules import by_key, first_come, outlook, rules
from shop.core.plan.schedule import Schedule
from tests.shop.core.plan.shops import a_joinery_shop, a_problem, a_random_shop, a_station, at

FAR = timedelta(days=150)


def dispatched(problem: Problem, rule: str) -> Schedule:
    floor = lay_out(problem, problem.now + FAR)
    placement = dispatch(floor, dict(rules(floor))[rule])
    bookings = bookings_of(problem, floor, placement)
    return Schedule(bookings=bookings, objective=objective_of(problem, bookings), method=rule)


NAMES = [name for name, _ in rules(lay_out(a_random_shop(0, 3), a_random_shop(0, 3).now + FAR))]


@pytest.mark.parametrize("rule", NAMES)
def test_a_rule_alone_makes_a_plan_that_holds(rule: str) -> None:
    for seed in range(10):
        problem = a_random_shop(seed, 12)
        assert check(problem, dispatched(problem, rule)) == ()


@pytest.mark.parametrize("rule", NAMES)
def test_a_rule_fills_a_joinery_shop_without_a_fault(rule: str) -> None:
    problem = a_joinery_shop(4, 5)
    assert check(problem, dispatched(problem, rule)) == ()


def test_nobody_waits_who_could_work() -> None:
    problem = a_problem(
        [a_station("saw")],
        [
            Task(key="soon", minutes=30, stations=("saw",)),
            Task(key="later", minutes=30, stations=("saw",), release=at(8, 10), order="rush"),
        ],
        [Order(key="rush", due=at(8, 40), weight=9)],
    )
    starts = {b.task: b.start for b in dispatched(problem, NAMES[0]).bookings}
    assert starts == {"soon": at(8), "later": at(8, 30)}


def test_the_plans_own_starts_as_keys_give_the_plan_again() -> None:
    problem = replace(a_joinery_shop(2, 4), tick_min=1)
    floor = lay_out(problem, problem.now + FAR)
    first = dispatch(floor, first_come(floor))
    assert dispatch(floor, by_key([float(start) for start in first.start])).end == first.end


def test_the_look_ahead_counts_work_and_lags_to_the_due_date() -> None:
    problem = a_problem(
        [a_station("saw")],
        [
            Task(key="a", minutes=30, stations=("saw",), order="o"),
            Task(key="b", minutes=60, stations=("saw",), after=("a",), lag_min=90, order="o"),
        ],
        [Order(key="o", due=at(12), weight=3)],
    )
    ahead = outlook(lay_out(problem, problem.now + FAR))
    assert ahead.tail == (180, 60)
    assert ahead.latest == (150, 300)
    assert ahead.weight == (3, 3)


def test_work_that_no_laid_out_hour_holds_is_signalled() -> None:
    problem = a_problem([a_station("saw")], [Task(key="long", minutes=5000, stations=("saw",))])
    floor = lay_out(problem, at(0, day=2))
    with pytest.raises(BeyondHours):
        dispatch(floor, first_come(floor))
