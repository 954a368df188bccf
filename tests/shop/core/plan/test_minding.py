"""Minding a machine while doing light work nearby."""

from dataclasses import replace
from datetime import timedelta
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.core.plan.check import check
from shop.core.plan.dispatch import dispatch
from shop.core.plan.floor import lay_out
from shop.core.plan.planner import plan
from shop.core.plan.problem import Problem, Resource, Task, Told
from shop.core.plan.reasons import changes
from shop.core.plan.rules import rules
from shop.core.plan.schedule import Booking, Budget
from tests.shop.core.plan.brute import best_main
from tests.shop.core.plan.shops import (
    NOW,
    a_hand,
    a_problem,
    a_random_shop,
    a_station,
    at,
    with_light_work,
    with_places,
)
from tests.shop.core.plan.test_planner import a_tiny_shop

FAR = timedelta(days=120)


def a_minded_shop(*more: Task, **marks: object) -> Problem:
    """One hand, a router that runs for two hours, and an hour of sanding on the bench beside it."""
    problem = a_problem(
        [
            a_station("router", area="hall", may_be_left=True),
            a_station("lathe", area="hall", may_be_left=True),
            a_station("bench", area="hall"),
            a_station("shed", area="yard"),
            a_station("nook"),
            a_hand("Ada", skills={"wood": 1}),
            a_hand("Ben"),
        ],
        [
            Task(key="rout", minutes=120, stations=("router",), hands=("Ada",)),
            Task(key="sand", minutes=60, stations=("bench",), hands=("Ada",), is_light=True),
            *more,
        ],
    )
    return replace(problem, **{"allows_minding": True, **marks})  # type: ignore[arg-type]


def changed(problem: Problem, task: str, **fields: object) -> Problem:
    tasks = (replace(t, **fields) if t.key == task else t for t in problem.tasks)  # type: ignore[arg-type]
    return replace(problem, tasks=tuple(tasks))


def starts(problem: Problem) -> dict[str, object]:
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    return {b.task: b.start for b in schedule.bookings}


def test_light_work_goes_on_while_a_machine_nearby_runs() -> None:
    assert starts(a_minded_shop()) == {"rout": at(8), "sand": at(8)}


@pytest.mark.parametrize(
    "problem",
    [
        a_minded_shop(allows_minding=False),
        changed(a_minded_shop(), "sand", is_light=False),
        changed(a_minded_shop(), "sand", stations=("shed",)),
        changed(a_minded_shop(), "sand", stations=("nook",)),
        changed(a_minded_shop(), "sand", stations=()),
        changed(a_minded_shop(), "rout", stations=("shed",)),
        changed(a_minded_shop(), "sand", stations=("lathe",)),
        changed(a_minded_shop(), "sand", hands=("Ada", "Ben"), hand_count=2),
        changed(a_minded_shop(), "rout", hands=("Ada", "Ben"), hand_count=2),
    ],
    ids=[
        "not allowed", "not light", "elsewhere", "near nothing", "no station", "may not be left",
        "two machines", "light work of two", "a run of two",
    ],
)  # fmt: skip
def test_nothing_else_is_done_at_once(problem: Problem) -> None:
    assert len(set(starts(problem).values())) == 2
    together = plan(a_minded_shop())
    faults = check(
        problem,
        replace(together, bookings=tuple(_as_asked(problem, b) for b in together.bookings)),
    )
    assert "overlap" in {fault.kind for fault in faults}


def _as_asked(problem: Problem, booking: Booking) -> Booking:
    """The booking on the station and with the hands that its task asks for."""
    task = next(task for task in problem.tasks if task.key == booking.task)
    station = task.stations[0] if task.stations else None
    return replace(booking, station=station, helpers=task.hands[1 : task.hand_count])


def test_a_hand_does_no_third_thing() -> None:
    third = Task(key="wax", minutes=60, stations=("bench",), hands=("Ada",), is_light=True)
    problem = a_minded_shop(replace(third, stations=("bench", "shed")))
    found = starts(problem)
    assert sorted([found["sand"], found["wax"]]) == [at(8), at(9)]  # type: ignore[type-var]


def test_work_under_way_at_a_machine_and_beside_it_goes_on() -> None:
    problem = changed(changed(a_minded_shop(), "rout", under_way=True), "sand", under_way=True)
    assert starts(problem) == {"rout": at(8), "sand": at(8)}


def test_light_work_may_be_pinned_beside_a_run() -> None:
    problem = changed(a_minded_shop(), "rout", pinned_start=at(8))
    assert starts(changed(problem, "sand", pinned_start=at(9)))["sand"] == at(9)


def test_people_who_are_where_they_were_told_have_not_moved() -> None:
    problem = a_minded_shop(move_price=100.0)
    for task, station in [("rout", "router"), ("sand", "bench")]:
        problem = changed(problem, task, told=Told(start=at(8), station=station, hands=("Ada",)))
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    assert schedule.objective.moved == ()
    again = plan(problem, known={b.task: b for b in schedule.bookings})
    assert again.bookings == schedule.bookings


def test_a_run_that_is_minded_takes_no_place_from_light_work() -> None:
    problem = a_minded_shop()
    before = {b.task: b for b in plan(problem).bookings}
    later = replace(before["sand"], start=at(10, 15), end=at(11, 15), pieces=())
    (change,) = changes(problem, before, {**before, "sand": later})
    assert change.cause.kind != "place"


@pytest.mark.parametrize("seed", range(25))
def test_tiny_shops_are_planned_as_well_as_by_trying_everything(seed: int) -> None:
    problem = _with_marks(a_tiny_shop(seed), seed)
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    assert schedule.proved
    assert schedule.objective.main(problem.goal) == best_main(problem)


def test_minding_betters_some_of_the_tiny_shops() -> None:
    shops = [_with_marks(a_tiny_shop(seed), seed) for seed in range(25)]
    alone = (replace(problem, allows_minding=False) for problem in shops)
    better = [best_main(p) < best_main(q) for p, q in zip(shops, alone, strict=True)]
    assert sum(better) >= 3


def _with_marks(problem: Problem, seed: int) -> Problem:
    """One hand for a saw that runs alone and a planer, near it in most shops, for light work."""
    random = Random(seed)
    places = {"saw": "hall", "planer": random.choice(["hall", "hall", "yard"])}
    resources = tuple(
        replace(r, area=places.get(r.key, ""), may_be_left=r.key == "saw")
        for r in problem.resources
    )
    tasks = tuple(
        replace(
            task,
            stations=("planer" if i % 2 else "saw",),
            hands=("Ada",),
            after=task.after if random.random() < 0.3 else (),
        )
        for i, task in enumerate(with_light_work(random, problem.tasks))
    )
    return replace(problem, resources=resources, tasks=tasks, allows_minding=True)


@settings(max_examples=60)
@given(st.integers(0, 10**9), st.integers(1, 16))
def test_a_plan_with_minding_breaks_no_rule(seed: int, size: int) -> None:
    problem = _minded_at_random(seed, size)
    schedule = plan(problem, budget=Budget(evaluations=40))
    assert check(problem, schedule) == ()


def _minded_at_random(seed: int, size: int) -> Problem:
    problem, random = a_random_shop(seed, size), Random(seed)
    stations = [r for r in problem.resources if r.kind == "station"]
    placed: dict[str, Resource] = {r.key: r for r in with_places(random, stations)}
    return replace(
        problem,
        allows_minding=True,
        resources=tuple(placed.get(r.key, r) for r in problem.resources),
        tasks=tuple(with_light_work(random, problem.tasks)),
    )


@pytest.mark.parametrize("seed", range(20))
def test_marks_change_nothing_where_the_shop_does_not_allow_minding(seed: int) -> None:
    marked = replace(_minded_at_random(seed, 12), allows_minding=False)
    bare = replace(
        marked,
        resources=tuple(replace(r, area="", may_be_left=False) for r in marked.resources),
        tasks=tuple(replace(t, is_light=False) for t in marked.tasks),
    )
    one, other = (lay_out(problem, problem.now + FAR) for problem in (marked, bare))
    parts = [(f.jobs, f.capacity, f.family, f.own_calendar, f.calendars) for f in (one, other)]
    assert parts[0] == parts[1]


def test_every_rule_puts_light_work_beside_a_run() -> None:
    problem = a_minded_shop()
    floor = lay_out(problem, NOW + FAR)
    assert {dispatch(floor, choose).start for _, choose in rules(floor)} == {(60, 60)}
