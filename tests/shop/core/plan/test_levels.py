"""By when each job must end: held against trying every start, and against plans that were made."""

from datetime import timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from shop.core.plan import kernel
from shop.core.plan.dispatch import BeyondHours, PinsClash, dispatch
from shop.core.plan.floor import lay_out
from shop.core.plan.hours import Hours
from shop.core.plan.levels import LEVELS, levels_of, way_back
from shop.core.plan.problem import Goal, Order, Task
from shop.core.plan.rules import rules
from shop.core.plan.tables import store_of, with_levels
from tests.shop.core.plan.shops import a_hand, a_joinery_shop, a_problem, a_random_shop, at
from tests.shop.core.plan.test_rules import FAR

SPANS = st.lists(st.tuples(st.integers(1, 9), st.integers(1, 9)), min_size=1, max_size=6)


def hours_of(spans: list[tuple[int, int]]) -> Hours:
    """Stretches from pairs of a pause and the open ticks after it."""
    found, tick = [], 0
    for pause, opening in spans:
        found.append((tick + pause, tick + pause + opening))
        tick += pause + opening
    return Hours.of(found)


@given(SPANS, st.lists(st.integers(-3, 120), min_size=1), st.integers(1, 12), st.booleans())
def test_the_last_start_is_that_of_trying_every_start(
    spans: list[tuple[int, int]], until: list[int], work: int, breakable: bool
) -> None:
    hours = hours_of(spans)
    runs = [hours.fit(tick, work, breakable) for tick in range(130)]
    last_start = way_back(hours)
    for tick in until:
        last = last_start(tick, work, breakable)
        assert last == max([run[0] for run in runs if run and run[1] <= tick], default=-1)


def test_a_cure_over_night_asks_for_the_glue_in_the_afternoon_before() -> None:
    chain = [
        Task(key="glue", minutes=30, hands=("Ann",), order="o"),
        Task(key="pack", minutes=60, hands=("Ann",), after=("glue",), lag_min=720, order="o"),
    ]
    problem = a_problem([a_hand("Ann")], chain, [Order(key="o", due=at(12, day=1))])
    floor = lay_out(problem, problem.now + timedelta(days=30))
    levels = levels_of(floor)
    # Packed by noon, begun at 11, glued twelve hours before: by 17 on the day before.
    assert levels.limits[0][0] == floor.ticks.up(at(23, day=0))
    assert levels.limits[1][0] == floor.ticks.up(at(12, day=1))
    # By the evening of that day it is begun at 16, so that the glue may be spread until 4.
    assert levels.limits[0][1] == floor.ticks.up(at(4, day=1))
    assert levels.missed[0][0] == floor.ticks.up(at(12, day=1)) + 1
    assert levels.missed[0][1] == floor.ticks.up(at(8, day=2)) + 1
    assert len(levels.missed[0]) == LEVELS


@settings(max_examples=80)
@given(st.integers(0, 10**9), st.integers(2, 20))
def test_no_plan_does_better_than_its_levels_say(seed: int, size: int) -> None:
    problem = a_random_shop(seed, size)
    floor = lay_out(problem, problem.now + FAR)
    levels = levels_of(floor)
    for _, choose in rules(floor):
        try:
            placement = dispatch(floor, choose)
        except (BeyondHours, PinsClash):
            continue
        ends: dict[int, int] = {}
        for order, end in zip(floor.in_order, placement.end, strict=True):
            ends[order] = max(end, ends.get(order, 0))
        for job, end, limits in zip(floor.jobs, placement.end, levels.limits, strict=True):
            if placement.missed or any(floor.jobs[i].under_way for i in job.after):
                continue
            for level, limit in enumerate(limits):
                if end > limit:
                    assert ends[job.order] >= levels.missed[job.order][level]


def test_a_job_that_a_late_order_hangs_on_goes_before_what_held_it_up() -> None:
    problem = a_joinery_shop(1, 6, people=3)
    floor = lay_out(problem, problem.now + FAR)
    first = min((dispatch(floor, choose) for _, choose in rules(floor)), key=lambda p: max(p.end))
    store = with_levels(store_of(floor, Goal.LATENESS, first, 1), levels_of(floor))
    whole, real = store.numbers()
    whole[kernel.RANDOM] = 4711
    kernel.begin(whole, real)
    n, made = whole[kernel.LISTED], 0
    for _ in range(300):
        changed = kernel.make_way(whole, real)
        if changed < n:
            made += 1
            listed = whole[whole[kernel.TRIED] : whole[kernel.TRIED] + n]
            place = {job: i for i, job in enumerate(listed)}
            assert sorted(place) == sorted(store.jobs)
            assert listed[:changed] == whole[whole[kernel.LIST] : whole[kernel.LIST] + changed]
            for job in store.jobs:
                span = whole[job + kernel.BEFORE], whole[job + kernel.BEFORE_END]
                assert all(place[whole[i]] < place[job] for i in range(*span))
            kernel.undo(whole, changed)
    assert made > 100
