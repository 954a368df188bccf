"""The planner: known optima, exact oracles, and what a shop's plan must always keep."""

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from random import Random

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter

from orders.core.errors import RuleBroken
from shop.core.calendar import Closure, weekdays
from shop.core.plan.check import check
from shop.core.plan.dispatch import dispatch
from shop.core.plan.floor import lay_out
from shop.core.plan.planner import plan
from shop.core.plan.problem import Goal, Order, Problem, Task
from shop.core.plan.rules import rules
from shop.core.plan.schedule import Booking, Budget, Progress, Schedule
from tests.shop.core.plan.brute import best_main
from tests.shop.core.plan.shops import (
    DAY_SHIFT,
    NOW,
    a_hand,
    a_joinery_shop,
    a_problem,
    a_random_shop,
    a_station,
    at,
    gear,
    job_shop,
)

# Source: Fisher and Thompson, Probabilistic learning combinations of local job-shop scheduling
# rules, in Muth and Thompson (eds.), Industrial Scheduling, 1963: instance 6 x 6, optimum 55.
FT06 = [
    "2 1 0 3 1 6 3 7 5 3 4 6",
    "1 8 2 5 4 10 5 10 0 10 3 4",
    "2 5 3 4 5 8 0 9 1 1 4 7",
    "1 5 0 5 2 5 3 3 4 8 5 9",
    "2 9 1 3 4 5 5 4 0 3 3 1",
    "1 3 3 3 5 9 0 10 4 4 2 1",
]
SAW = ("saw",)


def booking(schedule: Schedule, task: str) -> Booking:
    return next(b for b in schedule.bookings if b.task == task)


def one_machine(
    minutes: list[int], dues: list[int] | None = None, weights: list[float] | None = None
) -> Problem:
    """Jobs on one machine that never closes; due so many minutes from now."""
    return a_problem(
        [a_station("saw", calendar="always")],
        [Task(key=str(i), minutes=m, stations=SAW, order=str(i)) for i, m in enumerate(minutes)],
        [
            Order(
                key=str(i),
                due=NOW + timedelta(minutes=dues[i] if dues else 0),
                weight=weights[i] if weights else 1,
            )
            for i in range(len(minutes))
        ],
    )


def test_fisher_and_thompsons_six_by_six_is_proved_at_55() -> None:
    schedule = plan(job_shop(FT06))
    assert schedule.objective.makespan_min == 55
    assert schedule.lower_bound == 55
    assert schedule.proved
    assert check(job_shop(FT06), schedule) == ()


@pytest.mark.parametrize("seed", range(6))
def test_johnsons_rule_is_met_on_two_machines(seed: int) -> None:
    # Source: S. M. Johnson, Optimal two- and three-stage production schedules with setup times
    # included, Naval Research Logistics Quarterly 1 (1954): jobs shorter on the first machine
    # first, ascending there; then the others, descending on the second.
    random = Random(seed)
    jobs = [(random.randint(1, 30), random.randint(1, 30)) for _ in range(8)]
    order = sorted(j for j in jobs if j[0] <= j[1])
    order += sorted((j for j in jobs if j[0] > j[1]), key=lambda j: -j[1])
    first = second = 0
    for a, b in order:
        first += a
        second = max(first, second) + b
    schedule = plan(job_shop(f"0 {a} 1 {b}" for a, b in jobs))
    assert (schedule.objective.makespan_min, schedule.proved) == (second, True)


@pytest.mark.parametrize("seed", range(6))
def test_smiths_rule_is_met_when_all_is_due_at_once(seed: int) -> None:
    # Source: W. E. Smith, Various optimizers for single-stage production, Naval Research Logistics
    # Quarterly 3 (1956): the weighted sum of completions is least by minutes / weight. Due now,
    # an order is late by its completion.
    random = Random(seed)
    minutes = [random.randint(1, 60) for _ in range(9)]
    weights = [float(random.randint(1, 5)) for _ in minutes]
    end = total = 0.0
    for m, w in sorted(zip(minutes, weights, strict=True), key=lambda job: job[0] / job[1]):
        end += m
        total += w * end
    schedule = plan(one_machine(minutes, weights=weights), budget=Budget(evaluations=12))
    assert schedule.objective.weighted_lateness_min == pytest.approx(total)


@pytest.mark.parametrize("seed", range(20))
def test_nothing_is_late_where_jacksons_rule_finds_a_way(seed: int) -> None:
    # Source: J. R. Jackson, Scheduling a production line to minimize maximum tardiness, Research
    # Report 43, University of California, Los Angeles (1955): earliest due date first keeps all
    # in time whenever that can be done.
    random = Random(seed)
    minutes = [random.randint(1, 60) for _ in range(12)]
    dues, end = [0] * 12, 0
    for i in random.sample(range(12), 12):
        end += minutes[i]
        dues[i] = end + random.choice([0, 0, 5])
    schedule = plan(one_machine(minutes, dues), budget=Budget(evaluations=12))
    assert (schedule.objective.late_orders, schedule.proved) == ((), True)


def a_tiny_shop(seed: int, size: int = 4) -> Problem:
    """Two machines and two hands with hours of their own; set-ups, lags, glue-ups."""
    random = Random(seed)
    machines = [a_station("saw", family="a"), a_station("planer")]
    hands = [a_hand("Ada"), a_hand("Ben", calendar="short")]
    names, crew = ["saw", "planer"], ["Ada", "Ben"]
    tasks = [
        Task(
            key=str(i),
            minutes=random.choice([30, 45, 90] if i % 2 else [30, 120, 200]),
            stations=tuple(random.sample(names, random.choice([1, 1, 2]))),
            hands=tuple(random.sample(crew, random.choice([1, 2]))),
            after=tuple(str(j) for j in range(i) if random.random() < 0.3),
            lag_min=random.choice([0, 0, 60, 900]),
            family=random.choice(["a", "b"]),
            setup_min=random.choice([0, 30]),
            release=random.choice([None, at(11)]),
            order=random.choice(["x", "y"]),
            breakable=i % 2 == 0 or random.random() < 0.4,
        )
        for i in range(size)
    ]
    return a_problem(
        [*machines, *hands],
        tasks,
        [Order(key="x", due=at(12), weight=2), Order(key="y", due=at(15))],
        calendars={"short": weekdays("UTC", (time(9), time(15)))},
        goal=random.choice(list(Goal)),
        tick_min=15,
    )


@pytest.mark.parametrize("seed", range(25))
def test_tiny_shops_are_planned_as_well_as_by_trying_everything(seed: int) -> None:
    problem = a_tiny_shop(seed)
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    assert schedule.proved
    assert schedule.objective.main(problem.goal) == best_main(problem)


@settings(max_examples=150)
@given(st.integers(0, 10**9), st.integers(1, 14))
@example(1191137, 13)  # regular hours begin within a minute
def test_a_plan_for_a_shop_of_any_shape_breaks_no_rule(seed: int, size: int) -> None:
    problem = a_random_shop(seed, size)
    schedule = plan(problem, budget=Budget(evaluations=40))
    assert check(problem, schedule) == ()
    assert schedule.lower_bound is not None
    assert schedule.lower_bound <= schedule.objective.main(problem.goal) + 1e-6


@settings(max_examples=40)
@given(st.integers(0, 10**9), st.integers(2, 10), st.randoms(use_true_random=False))
def test_a_plan_can_be_pinned_where_it_stands(seed: int, size: int, random: Random) -> None:
    # In batches, which the solver does not know, a job never goes before a pinned one whose set-up
    # it would spare.
    problem = a_random_shop(seed, size)
    whole = tuple(replace(task, batch_share=1.0) for task in problem.tasks)
    problem = replace(problem, tasks=whole)
    first = plan(problem, budget=Budget(evaluations=12))
    away = {task.key for task in problem.tasks if task.away is not None}
    here = [booking for booking in first.bookings if booking.task not in away]
    again = pinned_as_booked(problem, random.choice(here)) if here else problem
    assert check(again, plan(again, budget=Budget(evaluations=200))) == ()


def test_a_pin_that_every_rule_misses_is_met_by_the_search() -> None:
    problem = a_random_shop(8, 8)
    first = plan(problem, budget=Budget(evaluations=12))
    again = pinned_as_booked(problem, next(b for b in first.bookings if b.task == "t6"))
    floor = lay_out(again, again.now + timedelta(days=70))
    assert all(dispatch(floor, choose).missed for _, choose in rules(floor))
    assert check(again, plan(again, budget=Budget(evaluations=200))) == ()


@pytest.mark.parametrize(("seed", "size", "task"), [(442645914, 7, "t1"), (80406912, 10, "t9")])
def test_a_pin_that_rules_and_search_miss_is_met_by_the_solver(
    seed: int, size: int, task: str
) -> None:
    # The solver does not know what their overtime costs, but finds a plan to set out from.
    problem = a_random_shop(seed, size)
    whole = tuple(replace(task, batch_share=1.0) for task in problem.tasks)
    problem = replace(problem, tasks=whole)
    first = plan(problem, budget=Budget(evaluations=12))
    again = pinned_as_booked(problem, next(b for b in first.bookings if b.task == task))
    found = plan(again, budget=Budget(evaluations=200))
    assert check(again, found) == ()
    assert not found.proved or found.objective.main(Goal.LATENESS) == found.lower_bound


def pinned_as_booked(problem: Problem, chosen: Booking) -> Problem:
    """The problem with a task pinned to where a plan has it."""
    pinned = tuple(
        replace(
            task,
            pinned_start=None if task.under_way else chosen.start,
            pinned_station=chosen.station,
            pinned_hand=chosen.hand,
        )
        if task.key == chosen.task
        else task
        for task in problem.tasks
    )
    return replace(problem, tasks=pinned)


def test_the_work_of_a_hand_waits_for_the_end_of_a_leave() -> None:
    leave = Closure(start=at(0), end=at(0, day=2), reason="leave")
    problem = a_problem(
        [a_hand("Ada", calendar="leave")],
        [Task(key="carve", minutes=60, hands=("Ada",))],
        calendars={"leave": replace(DAY_SHIFT, closures=(leave,))},
    )
    assert plan(problem).bookings[0].start == at(8, day=2)


def test_work_pauses_over_breaks_and_the_night() -> None:
    problem = a_problem([a_hand("Ada")], [Task(key="carve", minutes=500, hands=("Ada",))])
    assert plan(problem).bookings[0].pieces == (
        (at(8), at(10)),
        (at(10, 15), at(12, 30)),
        (at(13), at(17)),
        (at(8, day=1), at(8, 5, day=1)),
    )


def test_a_glue_up_does_not_begin_before_the_break() -> None:
    problem = a_problem(
        [a_hand("Ada")],
        [
            Task(key="saw", minutes=100, hands=("Ada",)),
            Task(key="glue", minutes=30, hands=("Ada",), breakable=False, after=("saw",)),
        ],
    )
    assert booking(plan(problem), "glue").start == at(10, 15)


def test_curing_runs_through_the_night_and_its_lag_does_too() -> None:
    problem = a_problem(
        [a_hand("Ada")],
        [
            Task(key="glue", minutes=30, hands=("Ada",)),
            Task(key="cure", minutes=720, after=("glue",)),
            Task(key="clean", minutes=30, hands=("Ada",), after=("cure",), lag_min=900),
        ],
    )
    schedule = plan(problem)
    assert booking(schedule, "cure").end == at(20, 30)
    assert booking(schedule, "clean").start == at(11, 30, day=1)


def test_curing_takes_its_hours_on_the_night_the_clocks_change() -> None:
    # Germany loses the hour from 02:00 on 29 March 2026. Source: IANA time zone database.
    problem = a_problem(
        [a_hand("Ada", calendar="berlin")],
        [
            Task(key="glue", minutes=60, hands=("Ada",)),
            Task(key="clean", minutes=60, hands=("Ada",), after=("glue",), lag_min=15 * 60),
        ],
        calendars={"berlin": weekdays("Europe/Berlin", (time(8), time(17)), days=range(7))},
        now=datetime(2026, 3, 28, 15, 0, tzinfo=UTC),
    )
    schedule = plan(problem)
    assert booking(schedule, "glue").end == datetime(2026, 3, 28, 16, 0, tzinfo=UTC)
    assert booking(schedule, "clean").start == datetime(2026, 3, 29, 7, 0, tzinfo=UTC)
    assert check(problem, schedule) == ()


def test_the_same_set_up_is_made_once() -> None:
    families = ["ten", "six", "ten", "six", "ten"]
    problem = a_problem(
        [a_station("mortiser", family="six")],
        [
            Task(key=str(i), minutes=20, stations=("mortiser",), family=family, setup_min=30)
            for i, family in enumerate(families)
        ],
        goal=Goal.MAKESPAN,
    )
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    assert schedule.objective.setup_min == 30


def with_setups_that_depend(problem: Problem, seed: int) -> Problem:
    """The same shop, with set-ups that depend on the family before."""
    random = Random(seed)
    tasks = tuple(
        replace(
            t, setup_after={f: random.choice([0, 10, 45]) for f in "ab" if random.random() < 0.6}
        )
        if t.family
        else t
        for t in problem.tasks
    )
    return replace(problem, tasks=tasks)


def test_set_ups_that_depend_on_what_came_before_are_put_in_the_best_row() -> None:
    after = {"a": {"b": 5, "c": 60}, "b": {"a": 60, "c": 5}, "c": {"a": 5, "b": 60}}
    problem = a_problem(
        [a_station("router", family="a")],
        [
            Task(
                key=key,
                minutes=20,
                stations=("router",),
                family=key,
                setup_min=60,
                setup_after={f: after[f][key] for f in after if key in after[f]},
            )
            for key in "bca"
        ],
        goal=Goal.MAKESPAN,
    )
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    assert [b.task for b in schedule.bookings] == ["a", "b", "c"]
    assert schedule.objective.setup_min == 10


@pytest.mark.parametrize("seed", range(12))
def test_tiny_shops_with_such_set_ups_are_planned_well(seed: int) -> None:
    problem = with_setups_that_depend(a_tiny_shop(seed), seed)
    schedule = plan(problem, budget=Budget(evaluations=600))
    assert check(problem, schedule) == ()
    assert schedule.objective.main(problem.goal) <= 1.25 * best_main(problem)


@pytest.mark.parametrize("seed", range(25))
def test_shops_of_any_shape_with_such_set_ups_break_no_rule(seed: int) -> None:
    problem = with_setups_that_depend(a_random_shop(seed, 12), seed)
    assert check(problem, plan(problem, budget=Budget(evaluations=40))) == ()


def test_clamps_are_counted_while_the_glue_cures() -> None:
    problem = a_problem(
        [a_hand("Ada"), a_hand("Ben"), gear("clamps", 4)],
        [
            Task(key=key, minutes=30, hands=("Ada", "Ben"), gear={"clamps": 3}, gear_hold_min=180)
            for key in ("door", "lid")
        ],
    )
    starts = sorted(b.start for b in plan(problem).bookings)
    assert starts == [at(8), at(11, 30)]


def test_a_bench_for_two_takes_two_tasks_at_once() -> None:
    problem = a_problem(
        [a_station("bench", capacity=2)],
        [Task(key=str(i), minutes=60, stations=("bench",)) for i in range(3)],
    )
    assert sorted(b.start for b in plan(problem).bookings) == [at(8), at(8), at(9)]


def test_the_least_skilled_hand_that_will_do_is_taken() -> None:
    problem = a_problem(
        [a_hand("master", skills={"joinery": 3}), a_hand("joiner", skills={"joinery": 2})],
        [Task(key="dry fit", minutes=20, skills={"joinery": 1})],
    )
    assert plan(problem).bookings[0].hand == "joiner"


def test_work_under_way_goes_first_for_what_is_left() -> None:
    problem = a_problem(
        [a_station("saw")],
        [
            Task(key="urgent", minutes=30, stations=SAW, order="rush"),
            Task(key="begun", minutes=100, stations=SAW, under_way=True, done_share=0.7),
        ],
        [Order(key="rush", due=at(8), weight=100)],
    )
    schedule = plan(problem)
    assert (booking(schedule, "begun").start, booking(schedule, "begun").end) == (at(8), at(8, 30))
    assert booking(schedule, "urgent").start == at(8, 30)


def test_what_a_pin_waits_for_is_done_in_time() -> None:
    problem = a_problem(
        [a_station("saw")],
        [
            Task(key="rush", minutes=60, stations=SAW, order="rush"),
            Task(key="rip", minutes=60, stations=SAW),
            Task(key="deliver", minutes=60, after=("rip",), pinned_start=at(9)),
        ],
        [Order(key="rush", due=at(9), weight=100)],
    )
    schedule = plan(problem)
    assert booking(schedule, "rip").end == at(9)
    assert check(problem, schedule) == ()


def test_a_pin_that_fits_only_without_its_set_up_gets_what_it_needs_before_it() -> None:
    problem = a_problem(
        [a_station("mortiser", family="six")],
        [
            Task(
                key=key,
                minutes=60,
                stations=("mortiser",),
                family="ten",
                setup_min=30,
                breakable=False,
                pinned_start=pinned,
            )
            for key, pinned in [("pinned", at(11, 30)), ("free", None)]
        ],
    )
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    assert booking(schedule, "free").end <= at(11, 30)


def test_a_tight_horizon_is_met_by_whichever_rule_can() -> None:
    minutes = {"short": 60, "long": 240}
    problem = a_problem(
        [a_station("saw"), a_station("planer")],
        [
            *(Task(key=k, minutes=m, stations=SAW) for k, m in minutes.items()),
            Task(key="after", minutes=200, stations=("planer",), after=("long",)),
        ],
        horizon=at(17),
    )
    assert check(problem, plan(problem)) == ()


@pytest.mark.parametrize("orders", [3, 6])
def test_the_same_seed_and_budget_give_the_same_plan(orders: int) -> None:
    problem = a_joinery_shop(3, orders, people=3)
    budget = Budget(evaluations=60, seconds=600)
    assert plan(problem, budget=budget, seed=5) == plan(problem, budget=budget, seed=5)


def test_more_trials_never_make_a_worse_plan() -> None:
    problem = a_joinery_shop(0, 7, people=3)
    few, more = (
        plan(problem, budget=Budget(evaluations=n, seconds=600)).objective.rank(problem.goal)
        for n in (10, 80)
    )
    assert more <= few


def test_stopping_keeps_the_best_plan_so_far() -> None:
    problem = a_joinery_shop(0, 6, people=2)
    seen: list[Progress] = []
    schedule = plan(problem, progress=seen.append, stop=lambda: len(seen) >= 4)
    assert len(seen) == 4
    assert schedule.objective == seen[-1].best
    assert check(problem, schedule) == ()


def test_the_solver_can_be_stopped() -> None:
    problem = a_joinery_shop(0, 4, people=2)
    seen: list[Progress] = []

    def stop() -> bool:
        return any(p.method == "cp-sat" for p in seen)

    budget = Budget(evaluations=1000, seconds=600)
    schedule = plan(problem, budget=budget, progress=seen.append, stop=stop)
    assert [p.method for p in seen].count("cp-sat") == 2
    assert not schedule.proved
    assert check(problem, schedule) == ()


def test_progress_only_ever_gets_better() -> None:
    problem = a_joinery_shop(0, 4, people=3)
    seen: list[Progress] = []
    plan(problem, budget=Budget(evaluations=60), progress=seen.append)
    ranks = [p.best.rank(problem.goal) for p in seen if p.best is not None]
    assert ranks == sorted(ranks, reverse=True)
    assert [p.share for p in seen] == sorted(p.share for p in seen)


def test_a_slow_clock_ends_the_search() -> None:
    ticking = iter(range(10**6))
    schedule = plan(
        a_joinery_shop(0, 6, people=2), budget=Budget(seconds=5), clock=lambda: float(next(ticking))
    )
    assert schedule.evaluations <= 6


def test_problem_and_plan_go_through_json_and_back() -> None:
    problem = a_random_shop(7, 8)
    schedule = plan(problem, budget=Budget(evaluations=12))
    for kind, value in [(Problem, problem), (Schedule, schedule)]:
        adapter: TypeAdapter[object] = TypeAdapter(kind)
        assert adapter.validate_json(adapter.dump_json(value)) == value


def in_batches(share: float, *, second: float = 100) -> Problem:
    """Ten frames sawn and then planed, handed on so many at a time."""
    return a_problem(
        [a_station("saw", calendar="always"), a_station("planer", calendar="always")],
        [
            Task(key="saw", minutes=100, stations=SAW),
            Task(
                key="plane",
                minutes=second,
                stations=("planer",),
                after=("saw",),
                batch_share=share,
            ),
        ],
        goal=Goal.MAKESPAN,
    )


@pytest.mark.parametrize(
    ("share", "second", "end"),
    [(1, 100, 200), (0.1, 100, 110), (0.5, 100, 150), (0.1, 20, 102), (0.5, 20, 110)],
)
def test_work_that_is_handed_on_in_batches_overlaps(
    share: float, second: float, end: float
) -> None:
    # The first batch must be sawn, and the last one planed after the sawing has ended.
    problem = in_batches(share, second=second)
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    assert schedule.objective.makespan_min == end


@pytest.mark.parametrize(("by", "is_caught"), [(0, False), (-1, True)])
def test_a_batch_that_is_not_there_yet_is_caught(by: int, is_caught: bool) -> None:
    problem = in_batches(0.5)
    schedule = plan(problem)
    moved = tuple(
        replace(
            b,
            start=b.start + timedelta(minutes=by),
            end=b.end + timedelta(minutes=by),
            pieces=tuple(
                (x + timedelta(minutes=by), y + timedelta(minutes=by)) for x, y in b.pieces
            ),
        )
        if b.task == "plane"
        else b
        for b in schedule.bookings
    )
    kinds = {v.kind for v in check(problem, replace(schedule, bookings=moved))}
    assert ("precedence" in kinds) is is_caught


def test_batches_of_nothing_are_refused() -> None:
    with pytest.raises(RuleBroken, match="more than nothing of it"):
        plan(in_batches(0))
