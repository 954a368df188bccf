"""Promises: the odds of a plan that is kept, and a new order beside it."""

from dataclasses import replace
from datetime import timedelta
from math import exp
from statistics import NormalDist

import pytest

from shop.core.plan.again import put_again
from shop.core.plan.check import check
from shop.core.plan.floor import lay_out
from shop.core.plan.measure import bookings_of, objective_of
from shop.core.plan.planner import plan
from shop.core.plan.problem import Order, Problem, Task
from shop.core.plan.promise import ORDER_SPREAD, Promise, promises
from shop.core.plan.schedule import Budget, Schedule
from tests.shop.core.plan.shops import (
    NOW,
    a_hand,
    a_joinery_shop,
    a_problem,
    a_random_shop,
    a_station,
    at,
)

ALWAYS = a_station("saw", calendar="always")


def promised(problem: Problem, draws: int = 400) -> dict[str, Promise]:
    made = plan(problem, budget=Budget(evaluations=12))
    floor = lay_out(problem, problem.now + timedelta(days=200))
    return dict(promises(problem, floor, {b.task: b for b in made.bookings}, draws=draws))


def test_one_uncertain_task_is_done_as_its_lognormal_says() -> None:
    spread = 0.3
    problem = a_problem(
        [ALWAYS],
        [Task(key="a", minutes=1000, spread=spread, stations=("saw",), order="o")],
        [Order(key="o", due=NOW + timedelta(minutes=1000))],
    )
    promise = promised(problem, draws=2000)["o"]
    sigma = (spread**2 + ORDER_SPREAD**2) ** 0.5
    for share, got in [(0.5, promise.p50), (0.8, promise.p80), (0.9, promise.p90)]:
        expected = 1000 * exp(NormalDist(-(sigma**2) / 2, sigma).inv_cdf(share))
        assert (got - NOW) / timedelta(minutes=1) == pytest.approx(expected, rel=0.03)
    assert promise.chance == pytest.approx(NormalDist().cdf(sigma / 2), abs=0.03)


def test_what_is_certain_is_promised_as_planned() -> None:
    problem = a_joinery_shop(0, 4)
    for promise in promised(problem, draws=12).values():
        assert promise.p50 == promise.p90 == promise.planned
        assert promise.chance in (0, 1)


def test_more_spread_never_makes_an_order_surer() -> None:
    def waits(spread: float) -> timedelta:
        problem = a_problem(
            [a_hand("Ada")],
            [
                Task(key=str(i), minutes=200, spread=spread, hands=("Ada",), order="o")
                for i in range(6)
            ],
            [Order(key="o", due=at(17))],
        )
        promise = promised(problem, draws=100)["o"]
        return promise.p90 - promise.planned

    assert timedelta(0) == waits(0) < waits(0.2) < waits(0.6)


def test_a_plan_put_together_again_is_the_plan() -> None:
    problem = a_joinery_shop(2, 6)
    floor = lay_out(problem, problem.now + timedelta(days=100))
    first = put_again(problem, floor, {b.task: b for b in plan(problem).bookings})
    assert first is not None
    bookings = bookings_of(problem, floor, first)
    assert put_again(problem, floor, {b.task: b for b in bookings}) == first


@pytest.mark.parametrize("seed", range(6))
def test_a_new_order_moves_nothing_and_breaks_no_rule(seed: int) -> None:
    both = a_joinery_shop(seed, 5, people=3)
    new = both.orders[-1].key
    old = replace(both, tasks=tuple(t for t in both.tasks if t.order != new))
    made = plan(old, budget=Budget(evaluations=6))
    floor = lay_out(both, both.now + timedelta(days=100))
    known = {b.task: b for b in made.bookings}
    own_floor = lay_out(old, both.now + timedelta(days=100))
    again = put_again(old, own_floor, known)
    assert again is not None
    before = {b.task: b for b in bookings_of(old, own_floor, again)}
    placement = put_again(both, floor, before)
    assert placement is not None
    bookings = bookings_of(both, floor, placement)
    assert {b.task: b for b in bookings if b.task in before} == before
    whole = Schedule(bookings=bookings, objective=objective_of(both, bookings), method="again")
    assert check(both, whole) == ()


@pytest.mark.parametrize("seed", range(20))
def test_a_plan_of_any_shop_can_be_put_together_again(seed: int) -> None:
    problem = a_random_shop(seed, 12)
    made = plan(problem, budget=Budget(evaluations=12))
    floor = lay_out(problem, problem.now + timedelta(days=150))
    for keeps in (True, False):
        known = {b.task: b for b in made.bookings}
        placement = put_again(problem, floor, known, keeps_staff=keeps)
        assert placement is not None
        if not placement.missed:
            bookings = bookings_of(problem, floor, placement)
            found = replace(
                made, bookings=bookings, objective=objective_of(problem, bookings), proved=False
            )
            assert check(problem, found) == ()
