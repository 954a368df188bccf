"""Who can be spared: the hand that alone can do much is the scarcest, and plans are better for it."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.core.plan.dispatch import dispatch
from shop.core.plan.floor import lay_out
from shop.core.plan.problem import Order, Task
from shop.core.plan.rules import first_come
from shop.core.plan.scarcity import scarcity
from shop.core.plan.search import Search
from tests.shop.core.plan.shops import a_hand, a_joinery_shop, a_problem, at
from tests.shop.core.plan.test_rules import FAR


def test_work_that_anybody_can_do_falls_to_who_has_no_other() -> None:
    hands = [a_hand("turner", skills={"turning": 1}), a_hand("helper")]
    tasks = [
        Task(key="turn", minutes=300, hands=("turner",)),
        Task(key="sweep", minutes=100, hands=("turner", "helper")),
    ]
    falls = scarcity(lay_out(a_problem(hands, tasks), at(0) + FAR))
    assert falls[0] == 1.0
    assert falls[1] == pytest.approx(100 / 300, abs=0.05)


def test_equals_are_equally_scarce() -> None:
    hands = [a_hand("ann"), a_hand("ben")]
    tasks = [Task(key=f"t{i}", minutes=60, hands=("ann", "ben")) for i in range(5)]
    assert scarcity(lay_out(a_problem(hands, tasks), at(0) + FAR)) == [1.0, 1.0]


@given(st.integers(0, 10**6))
def test_only_hands_are_scarce_and_the_scarcest_is_one(seed: int) -> None:
    problem = a_joinery_shop(seed, 2)
    falls = scarcity(lay_out(problem, problem.now + FAR))
    for resource, share in zip(problem.resources, falls, strict=True):
        assert (0 < share <= 1) if resource.kind == "hand" else share == 0
    assert max(falls) == 1.0


def test_a_search_begins_with_the_scarce_hand_spared() -> None:
    hands = [a_hand("turner"), a_hand("helper")]
    both = ("turner", "helper")
    tasks = [
        Task(key="carry", minutes=30, hands=("helper",)),
        Task(key="sweep", minutes=60, hands=both),
        Task(key="turn", minutes=200, hands=("turner",), order="bowls"),
    ]
    problem = a_problem(hands, tasks, [Order(key="bowls", due=at(8) + timedelta(minutes=210))])
    floor = lay_out(problem, problem.now + FAR)
    first = dispatch(floor, first_come(floor))
    assert first.start[2] > floor.ticks.up(at(8))
    found = Search(floor, problem.goal, first, seed=0, is_compiled=False).news()
    assert found is not None
    assert found.start[2] == floor.ticks.up(at(8))
