"""The smallest set of conflicting demands, against trying every set."""

from dataclasses import replace
from datetime import timedelta
from itertools import chain, combinations
from random import Random

import pytest

from orders.core.errors import RuleBroken, RulesBroken
from shop.core.calendar import Closure
from shop.core.plan.conflict import conflict, demands_of, told, without
from shop.core.plan.planner import can_be_planned, plan
from shop.core.plan.problem import Problem, Task
from tests.shop.core.plan.shops import DAY_SHIFT, a_hand, a_problem, a_station, at


def a_pinned_shop(seed: int) -> Problem:
    """A hand and two machines, a leave, and more pins and releases than can always hold."""
    random = Random(seed)
    start = at(random.choice([8, 10, 13]), day=random.randint(0, 1))
    leave = Closure(start=start, end=start + timedelta(hours=random.choice([2, 5])), reason="leave")
    tasks = [
        Task(
            key=f"t{i}",
            minutes=random.choice([30, 60, 120]),
            stations=random.choice([("saw",), ("saw", "planer")]),
            hands=("Ada", "Ben") if random.random() < 0.5 else ("Ada",),
            after=(f"t{i - 1}",) if i and random.random() < 0.5 else (),
            pinned_start=at(random.choice([8, 9, 13]), day=random.randint(0, 1))
            if random.random() < 0.6
            else None,
            pinned_hand="Ada" if random.random() < 0.2 else None,
            release=at(random.choice([9, 11])) if random.random() < 0.3 else None,
        )
        for i in range(3)
    ]
    return a_problem(
        [a_station("saw"), a_station("planer"), a_hand("Ada", calendar="leave"), a_hand("Ben")],
        tasks,
        calendars={"leave": replace(DAY_SHIFT, closures=(leave,))},
        horizon=at(20, day=random.choice([0, 3])),
        tick_min=15,
    )


@pytest.mark.parametrize("seed", range(40))
def test_no_smaller_set_of_demands_clashes(seed: int) -> None:
    problem = a_pinned_shop(seed)
    found = conflict(problem, can_be_planned)
    demands = demands_of(problem)
    sets = chain.from_iterable(combinations(demands, size) for size in range(len(demands) + 1))
    clashing = (
        kept
        for kept in sets
        if not can_be_planned(without(problem, (d for d in demands if d not in kept)))
    )
    smallest = next(clashing, ())
    assert len(found) == len(smallest)
    if found:
        assert not can_be_planned(without(problem, (d for d in demands if d not in found)))
        for demand in found:
            assert can_be_planned(
                without(problem, (*(d for d in demands if d not in found), demand))
            )


def test_two_pins_and_a_leave_are_named_with_what_would_have_to_give() -> None:
    leave = Closure(start=at(8), end=at(12, 30), reason="dentist")
    problem = a_problem(
        [a_hand("Ada", calendar="leave")],
        [
            Task(key="cut", label="Cut", minutes=120, hands=("Ada",)),
            Task(key="fit", label="Fit", minutes=30, hands=("Ada",), after=("cut",),
                 pinned_start=at(13, 30)),
        ],
        calendars={"leave": replace(DAY_SHIFT, closures=(leave,))},
    )  # fmt: skip
    with pytest.raises(RuleBroken) as caught:
        plan(problem)
    assert caught.value.message.endswith(
        "It cannot all hold that Ada is closed or away from 2026-01-05 08:00 to 2026-01-05 12:30 "
        "(dentist); “Fit” begins at 2026-01-05 13:30. One of these would have to give: have Ada at "
        "work between 2026-01-05 08:00 and 2026-01-05 12:30, or pin “Fit” to another time."
    )


def test_a_plan_that_ends_too_soon_is_told_with_what_keeps_it_waiting() -> None:
    problem = a_problem(
        [a_hand("Ada")],
        [Task(key="carve", minutes=180, hands=("Ada",), release=at(15))],
        horizon=at(17),
    )
    with pytest.raises((RuleBroken, RulesBroken), match="does not begin before 2026-01-05 15:00"):
        plan(problem)


def test_a_demand_that_clashes_alone_is_told_alone() -> None:
    problem = a_problem(
        [a_hand("Ada")],
        [Task(key="carve", minutes=60, hands=("Ada",), pinned_start=at(20))],
    )
    found = conflict(problem, can_be_planned)
    assert told(found) == (
        "It cannot hold that “carve” begins at 2026-01-05 20:00: pin “carve” to another time."
    )


def test_what_no_demand_is_to_blame_for_is_not_explained() -> None:
    problem = a_problem([a_hand("Ada")], [Task(key="carve", minutes=10**6, hands=("Ada",))])
    assert conflict(problem, can_be_planned) == ()
