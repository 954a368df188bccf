"""What an owner measures a plan by: each measure, what it costs, and overtime where it pays."""

from dataclasses import replace
from datetime import time
from itertools import permutations
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orders.core.errors import RuleBroken, RulesBroken
from shop.core.calendar import weekdays
from shop.core.plan import kernel
from shop.core.plan.again import put_again
from shop.core.plan.check import check
from shop.core.plan.dispatch import dispatch
from shop.core.plan.floor import lay_out
from shop.core.plan.measure import bookings_of, cost_of, objective_of
from shop.core.plan.planner import plan
from shop.core.plan.prices import Measure, Prices, one_after_another
from shop.core.plan.problem import Goal, Order, Problem, Task
from shop.core.plan.rules import rules
from shop.core.plan.schedule import Budget, Schedule
from shop.core.plan.search import Search
from shop.core.plan.tables import store_of
from tests.shop.core.plan.shops import NOW, a_hand, a_problem, a_random_shop, a_station, at
from tests.shop.core.plan.test_planner import booking, one_machine
from tests.shop.core.plan.test_rules import FAR

EVENING = weekdays("UTC", (time(17), time(20)))


def a_pressed_shop(*, overtime: float, minutes: float = 600) -> Problem:
    """One hand, one order due at the end of the first day, and three hours of evening on offer."""
    problem = a_problem(
        [a_hand("Ada", overtime="evening")],
        [
            Task(key="carve", minutes=minutes / 2, hands=("Ada",), order="chair"),
            Task(key="fit", minutes=minutes / 2, hands=("Ada",), order="chair", after=("carve",)),
        ],
        [Order(key="chair", due=at(20))],
        calendars={"evening": EVENING},
    )
    return replace(problem, prices=Prices(overtime=overtime))


def test_overtime_is_worked_where_it_pays() -> None:
    problem = a_pressed_shop(overtime=2)
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    assert schedule.objective.late_orders == ()
    assert schedule.objective.overtime_min == 105
    assert schedule.objective.costs[Measure.OVERTIME] == 210
    assert booking(schedule, "fit").overtime == ((at(17), at(18, 45)),)


def test_no_overtime_is_worked_where_it_is_too_dear() -> None:
    # The order is done at 09:45 on the next day: 825 minutes late, for 105 minutes of overtime.
    problem = a_pressed_shop(overtime=8)
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    assert schedule.objective.overtime_min == 0
    assert schedule.objective.weighted_lateness_min == 825


def test_work_that_fits_no_regular_opening_may_go_into_overtime() -> None:
    problem = replace(a_pressed_shop(overtime=8), goal=Goal.MAKESPAN)
    glue = replace(problem.tasks[0], minutes=300, breakable=False)
    problem = replace(problem, tasks=(glue,))
    assert check(problem, plan(problem)) == ()
    assert booking(plan(problem), "carve").end > at(17)


def test_a_pin_may_stand_in_overtime() -> None:
    problem = a_pressed_shop(overtime=8, minutes=120)
    pinned = replace(problem.tasks[1], pinned_start=at(18))
    problem = replace(problem, tasks=(problem.tasks[0], pinned))
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    assert booking(schedule, "fit").overtime == ((at(18), at(19)),)


def test_the_overtime_of_a_plan_stays_when_it_is_put_together_again() -> None:
    problem = a_pressed_shop(overtime=2)
    schedule = plan(problem)
    floor = lay_out(problem, NOW + FAR)
    again = put_again(problem, floor, {b.task: b for b in schedule.bookings})
    assert again is not None
    assert bookings_of(problem, floor, again) == schedule.bookings


def test_a_machine_that_runs_alone_counts_its_own_overtime() -> None:
    problem = a_problem(
        [a_station("drier", overtime="evening")],
        [Task(key="dry", minutes=540, stations=("drier",), order="chair")],
        [Order(key="chair", due=at(20))],
        calendars={"evening": EVENING},
    )
    schedule = plan(replace(problem, prices=Prices(overtime=1)))
    assert schedule.objective.overtime_min == 45


def test_a_late_station_costs_nothing_where_its_hand_is_there_anyway() -> None:
    problem = a_problem(
        [a_station("saw", overtime="evening"), a_hand("Ada", calendar="late")],
        [Task(key="rip", minutes=60, stations=("saw",), hands=("Ada",))],
        calendars={"evening": EVENING, "late": weekdays("UTC", (time(16), time(20)))},
    )
    problem = replace(problem, tasks=(replace(problem.tasks[0], release=at(16, 30)),))
    schedule = plan(replace(problem, prices=Prices(overtime=5)))
    assert (
        check(problem, replace(schedule, objective=objective_of(problem, schedule.bookings))) == ()
    )
    assert (schedule.bookings[0].end, schedule.objective.overtime_min) == (at(17, 30), 0)


@pytest.mark.parametrize("seed", range(8))
def test_the_fewest_orders_are_late_by_moores_rule(seed: int) -> None:
    # Source: J. M. Moore, An n job, one machine sequencing algorithm for minimizing the number of
    # late jobs, Management Science 15 (1968): by due date; whenever one is late, the longest so far
    # is left out.
    random = Random(seed)
    minutes = [random.randint(5, 60) for _ in range(9)]
    dues = [random.randint(20, 250) for _ in minutes]
    kept: list[int] = []
    for due, length in sorted(zip(dues, minutes, strict=True)):
        kept.append(length)
        if sum(kept) > due:
            kept.remove(max(kept))
    problem = replace(one_machine(minutes, dues), prices=Prices(lateness=0, late_orders=1))
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    assert len(schedule.objective.late_orders) == len(minutes) - len(kept)


@pytest.mark.parametrize("seed", range(4))
def test_measures_one_after_another_are_met_as_by_trying_every_row(seed: int) -> None:
    random = Random(seed)
    minutes = [random.randint(5, 40) for _ in range(6)]
    dues = [random.randint(20, 120) for _ in minutes]
    prices = one_after_another([Measure.LATE_ORDERS, Measure.LATENESS])
    problem = replace(one_machine(minutes, dues), prices=prices)
    found = plan(problem, budget=Budget(evaluations=2000)).objective

    def worth(row: tuple[int, ...]) -> tuple[int, float]:
        end, late = 0, []
        for i in row:
            end += minutes[i]
            late.append(max(0, end - dues[i]))
        return sum(minutes > 0 for minutes in late), float(sum(late))

    best = min(worth(row) for row in permutations(range(len(minutes))))
    assert (len(found.late_orders), found.weighted_lateness_min) == best


@pytest.mark.parametrize(
    "measures", [[], [Measure.IDLE, Measure.IDLE], [m for m in Measure if m is not Measure.IDLE]]
)
def test_measures_that_cannot_follow_one_another_are_refused(measures: list[Measure]) -> None:
    with pytest.raises(RuleBroken, match=r"\.$"):
        one_after_another(measures)


def test_a_price_below_nothing_is_refused() -> None:
    with pytest.raises((RuleBroken, RulesBroken), match="A price is from 0"):
        plan(replace(a_pressed_shop(overtime=-1)))


def test_an_offer_of_hours_that_are_not_there_is_refused() -> None:
    problem = a_problem([a_hand("Ada", overtime="never")], [])
    with pytest.raises(RuleBroken, match="“never”, which are not there"):
        plan(replace(problem, tasks=a_pressed_shop(overtime=1).tasks[:0]))


def test_a_set_up_has_its_price() -> None:
    problem = a_problem(
        [a_station("saw", family="a")],
        [
            Task(key=str(i), minutes=20, stations=("saw",), family=f, setup_min=30, order=f)
            for i, f in enumerate("babab")
        ],
        [Order(key="b", due=at(9), weight=0.01), Order(key="a", due=at(17))],
    )
    schedule = plan(replace(problem, prices=Prices(setup=10)))
    assert schedule.objective.setup_min == 30
    assert schedule.objective.costs[Measure.SETUP] == 300


def test_an_order_that_is_begun_is_ended_before_another_is_begun() -> None:
    tasks = [
        Task(key=f"{order} {i}", minutes=60, hands=("Ada",), order=order,
             after=(f"{order} {i - 1}",) if i else ())
        for i in range(3) for order in ("chair", "table")
    ]  # fmt: skip
    problem = a_problem([a_hand("Ada")], tasks, [Order(key="chair"), Order(key="table")])
    problem = replace(problem, prices=Prices(in_progress=1, idle=1))
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    assert schedule.objective.in_progress_min == 195 + 210
    assert schedule.objective.idle_min <= 60


@settings(max_examples=60)
@given(st.integers(0, 10**9), st.integers(2, 14))
def test_the_search_counts_what_the_measures_count(seed: int, size: int) -> None:
    problem = replace(a_random_shop(seed, size), goal=Goal.LATENESS)
    floor = lay_out(problem, problem.now + FAR)
    _, choose = next(iter(rules(floor)))
    first = dispatch(floor, choose)
    store = store_of(floor, problem.goal, first, 1)
    whole, real = store.numbers()
    whole[kernel.RANDOM] = 1 + seed % 1000
    kernel.begin(whole, real)
    kernel.anneal(whole, real, 40, 500.0, 0.0)
    search = Search(floor, problem.goal, first, seed=seed, is_compiled=False)
    search.run(40)
    found = search.news()
    if found is not None:
        bookings = bookings_of(problem, floor, found)
        schedule = Schedule(
            bookings=bookings, objective=objective_of(problem, bookings), method="search"
        )
        assert check(problem, schedule) == ()
        best = min(lane[1][kernel.BEST_MAIN] for lane in search.lanes)
        overdue = sum(
            weight * -due
            for weight, due, number in zip(
                floor.weight, floor.due, range(len(floor.due)), strict=True
            )
            if due is not None and due < 0 and number in floor.in_order
        )
        assert best + overdue == pytest.approx(cost_of(floor, found), abs=1e-3)
