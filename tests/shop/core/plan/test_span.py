"""The search for a short makespan: known optima, the solver as oracle, and what it must keep."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.core.plan import critical as c
from shop.core.plan.check import check
from shop.core.plan.dispatch import Placement, dispatch
from shop.core.plan.exact import solve
from shop.core.plan.floor import Floor, lay_out
from shop.core.plan.measure import bookings_of, objective_of
from shop.core.plan.planner import plan
from shop.core.plan.problem import Goal, Problem, Task
from shop.core.plan.rules import first_come
from shop.core.plan.schedule import Budget, Schedule
from shop.core.plan.span import SpanSearch, fits
from tests.shop.core.plan.shops import NOW, a_hand, a_problem, a_station, gear, job_shop

JOB_SHOPS = Path(__file__).with_name("job_shops.txt")


def known_shop(name: str) -> tuple[Problem, int]:
    """A classical job shop and its least makespan."""
    lines = JOB_SHOPS.read_text().splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith(f"{name} "))
    _, jobs, _, least = lines[at].split()
    return job_shop(lines[at + 1 : at + 1 + int(jobs)]), int(least)


def a_plain_shop(seed: int, size: int) -> Problem:
    """Up to four machines that never close, work without one, lags, releases, any precedence."""
    random = Random(seed)
    names = [f"m{i}" for i in range(random.randint(1, 4))]
    tasks = []
    for i in range(size):
        able = random.sample(names, random.randint(1, len(names)))
        task = Task(
            key=str(i),
            minutes=random.randint(1, 20),
            stations=tuple(able),
            minutes_on={name: random.randint(1, 20) for name in able if random.random() < 0.5},
            after=tuple(str(j) for j in range(max(0, i - 5), i) if random.random() < 0.25),
            lag_min=random.choice([0, 0, 0, 7]),
            release=random.choice([None, None, NOW + timedelta(minutes=random.randint(0, 30))]),
        )
        tasks.append(replace(task, stations=()) if random.random() < 0.1 else task)
    stations = [a_station(name, calendar="always") for name in names]
    return a_problem(stations, tasks, goal=Goal.MAKESPAN)


def first_of(problem: Problem) -> tuple[Floor, Placement]:
    floor = lay_out(problem, problem.now + timedelta(days=30))
    return floor, dispatch(floor, first_come(floor))


def searched(
    problem: Problem, tries: int, *, seed: int = 0, is_compiled: bool = False, until: int = 0
) -> Placement:
    """The best after so many tries, or the first with a makespan of `until`."""
    floor, best = first_of(problem)
    search = SpanSearch(floor, best, seed=seed, is_compiled=is_compiled)
    left = tries
    while left > 0 and max(best.end) > until:
        left -= search.run(min(left, 2000))
        best = search.news() or best
    return best


def as_schedule(problem: Problem, placement: Placement) -> Schedule:
    bookings = bookings_of(problem, first_of(problem)[0], placement)
    return Schedule(bookings=bookings, objective=objective_of(problem, bookings), method="search")


@pytest.mark.parametrize("name", ["ft06", "ft10", "la01", "la16", "la19"])
def test_the_least_makespan_of_a_classical_shop_is_found(name: str) -> None:
    problem, least = known_shop(name)
    best = searched(problem, 1_000_000, is_compiled=True, until=least)
    assert max(best.end) == least
    assert check(problem, as_schedule(problem, best)) == ()


@pytest.mark.parametrize("seed", range(40))
def test_tiny_shops_are_planned_as_well_as_the_solver_proves(seed: int) -> None:
    problem = a_plain_shop(seed, 8)
    floor, first = first_of(problem)
    proof = solve(
        floor, problem.goal, first, effort=10, seconds=60, seed=0, tell=lambda best: False
    )
    assert proof.proved
    assert max(searched(problem, 4000, until=int(proof.bound)).end) == proof.bound


def test_a_block_ends_where_a_lag_lies_between_two_neighbours() -> None:
    # Without that the three would be one block from the begin to the end, with nothing to better.
    saw = {"stations": ("saw",)}
    problem = a_problem(
        [a_station("saw", calendar="always")],
        [
            Task(key="free", minutes=50, **saw),
            Task(key="first", minutes=10, **saw),
            Task(key="last", minutes=10, after=("first",), lag_min=40, **saw),
        ],
        goal=Goal.MAKESPAN,
    )
    lane = SpanSearch(*first_of(problem), seed=0, is_compiled=False).lanes[0]
    assert lane[c.SPAN] == 110
    assert c.step(lane)
    assert lane[c.SPAN] == 70


@settings(max_examples=60)
@given(st.integers(0, 10**9), st.integers(1, 25))
def test_a_plan_of_the_search_breaks_no_rule_and_is_never_worse(seed: int, size: int) -> None:
    problem = a_plain_shop(seed, size)
    floor, first = first_of(problem)
    assert fits(floor, problem.goal)
    best = searched(problem, 200)
    assert max(best.end) <= max(first.end)
    assert check(problem, as_schedule(problem, best)) == ()


@settings(max_examples=40)
@given(st.integers(0, 10**9), st.integers(2, 25))
def test_what_a_change_reckons_is_what_a_fresh_look_gives(seed: int, size: int) -> None:
    floor, first = first_of(a_plain_shop(seed, size))
    search = SpanSearch(floor, first, seed=seed, is_compiled=False)
    lane, jobs = search.lanes[0], search.store.jobs
    for _ in range(30):
        c.climb(lane, 1)
        found = lane[c.SPAN], [(lane[job + c.START], lane[job + c.TAIL]) for job in jobs]
        assert [lane[lane[lane[c.ORDER] + i] + c.AT] for i in range(size)] == [*range(size)]
        for job in jobs:
            lane[job + c.KEY] = lane[job + c.START]
        c.lay(lane)
        assert found == (lane[c.SPAN], [(lane[job + c.START], lane[job + c.TAIL]) for job in jobs])


@pytest.mark.parametrize("seed", range(3))
def test_the_compiled_search_finds_the_same_plan(seed: int) -> None:
    problem = a_plain_shop(seed, 30)
    plain = searched(problem, 6000, seed=seed)
    assert searched(problem, 6000, seed=seed, is_compiled=True) == plain
    assert max(plain.end) < max(first_of(problem)[1].end)


def test_the_lanes_tell_each_other_and_the_plan_is_the_same_again() -> None:
    problem, least = known_shop("ft06")
    found = []
    for _ in range(2):
        search = SpanSearch(*first_of(problem), seed=1, is_compiled=True)
        left = 130_000
        while left > 0:
            left -= search.run(left)
        found.append([[*map(int, lane)] for lane in search.lanes])
    assert found[0] == found[1]
    for lane in found[0]:
        size = c.POOL_PLAN + 2 * lane[c.JOB_COUNT]
        pool = range(lane[c.POOL], lane[c.POOL] + size * lane[c.POOLED], size)
        assert min(lane[plan + c.POOL_SPAN] for plan in pool) == least


def test_the_planner_takes_this_search_and_proves_what_it_can() -> None:
    problem, least = known_shop("la01")
    schedule = plan(problem, budget=Budget(evaluations=4000, seconds=60))
    assert (schedule.objective.makespan_min, schedule.lower_bound) == (least, least)
    assert (schedule.method, schedule.proved) == ("search", True)
    assert check(problem, schedule) == ()


def test_only_a_shop_that_it_knows_all_about_is_taken() -> None:
    station, task = a_station("saw", calendar="always"), Task(key="a", minutes=5, stations=("saw",))
    plain = a_problem([station], [task], goal=Goal.MAKESPAN)
    others = [
        replace(plain, goal=Goal.LATENESS),
        replace(plain, resources=(a_station("saw"),)),
        replace(plain, resources=(a_station("saw", calendar="always", capacity=2),)),
        replace(plain, tasks=(replace(task, pinned_start=NOW),)),
        replace(plain, tasks=(replace(task, under_way=True),)),
        replace(plain, tasks=(replace(task, family="a", setup_min=5),)),
        replace(plain, tasks=(task, replace(task, key="b", after=("a",), batch_share=0.5))),
        replace(
            plain,
            resources=(station, a_hand("Ada", calendar="always")),
            tasks=(replace(task, hands=("Ada",)),),
        ),
        replace(
            plain,
            resources=(station, gear("clamps", 1)),
            tasks=(replace(task, gear={"clamps": 1}),),
        ),
    ]
    assert fits(first_of(plain)[0], plain.goal)
    assert not any(fits(first_of(other)[0], other.goal) for other in others)
