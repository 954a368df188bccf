"""Outwork leaves and comes back on its days, and whatever plans knows it."""

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orders.core.errors import RuleBroken
from shop.core.calendar import Calendar, Closure, weekdays
from shop.core.plan import kernel
from shop.core.plan.check import check
from shop.core.plan.compiled import compiled
from shop.core.plan.dispatch import dispatch
from shop.core.plan.floor import lay_out
from shop.core.plan.hours import Ticks
from shop.core.plan.levels import levels_of
from shop.core.plan.planner import plan
from shop.core.plan.problem import Away, Goal, Order, Problem, Task
from shop.core.plan.promise import promises
from shop.core.plan.reasons import changes
from shop.core.plan.rules import first_come
from shop.core.plan.schedule import Booking, Budget
from shop.core.plan.tables import store_of, with_levels
from shop.core.plan.trips import Trips
from tests.shop.core.plan.brute import best_main
from tests.shop.core.plan.shops import NOW, a_hand, a_problem, a_random_shop, at
from tests.shop.core.plan.test_planner import a_tiny_shop
from tests.shop.core.plan.test_rules import FAR

MON, TUE, WED, THU, FRI = range(5)
MORNING = (time(8), time(9))


def on_days(*days: int, hours: tuple[time, time] = MORNING, zone: str = "UTC") -> Calendar:
    return weekdays(zone, hours, days=days)


def a_spray_shop(out: Calendar, back: Calendar, days: int, **send: object) -> Problem:
    """Doors are made ready by Ada, sprayed elsewhere, and hung by her when they are back."""
    tasks = [
        Task(key="send", minutes=60, hands=("Ada",), **send),  # type: ignore[arg-type]
        Task(key="away", minutes=1, after=("send",), away=Away(out="out", back="back", days=days)),
        Task(key="hang", minutes=60, hands=("Ada",), after=("away",), order="o"),
    ]
    return a_problem(
        [a_hand("Ada")], tasks, [Order(key="o", due=at(17))], calendars={"out": out, "back": back}
    )


def planned(problem: Problem) -> dict[str, Booking]:
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    return {booking.task: booking for booking in schedule.bookings}


def test_what_is_ready_on_monday_waits_for_thursdays_collection_and_tuesdays_delivery() -> None:
    found = planned(a_spray_shop(on_days(THU), on_days(TUE), 4))
    assert found["send"].end == at(9)
    assert (found["away"].start, found["away"].end) == (at(8, day=3), at(8, day=8))
    assert found["hang"].start == at(8, day=8)


def test_days_are_counted_by_the_date_whatever_the_hour() -> None:
    out, back = on_days(THU, hours=(time(16), time(17))), on_days(*range(7))
    found = planned(a_spray_shop(out, back, 5))
    assert (found["away"].start, found["away"].end) == (at(16, day=3), at(8, day=8))


def test_what_is_away_for_no_day_is_back_on_the_same_one_if_it_comes_then() -> None:
    out = on_days(THU)
    same = planned(a_spray_shop(out, on_days(THU, hours=(time(16), time(17))), 0))["away"]
    assert (same.start, same.end) == (at(8, day=3), at(16, day=3))
    later = planned(a_spray_shop(out, on_days(TUE, hours=(time(16), time(17))), 0))["away"]
    assert (later.start, later.end) == (at(8, day=3), at(16, day=8))


def test_nothing_is_sent_or_fetched_on_a_holiday() -> None:
    thursday = Closure(start=at(0, day=3), end=at(0, day=4), reason="a holiday")
    out = replace(on_days(THU), closures=(thursday,))
    assert planned(a_spray_shop(out, on_days(TUE), 4))["away"].start == at(8, day=10)
    tuesday = Closure(start=at(0, day=8), end=at(0, day=9), reason="a holiday")
    back = replace(on_days(TUE), closures=(tuesday,))
    assert planned(a_spray_shop(on_days(THU), back, 4))["away"].end == at(8, day=15)


def test_a_change_of_the_clocks_makes_no_trip_a_day_longer() -> None:
    zone = "Europe/Berlin"
    always = weekdays(zone, (time(10), time(11)), days=range(7))
    for month, day in [(3, 27), (10, 23)]:
        now = datetime(2026, month, day, 5, tzinfo=UTC)
        trips = Trips.of(
            Away(out="a", back="a", days=5), {"a": always}, Ticks(now, 1), now + timedelta(days=30)
        )
        found = trips.fit(0)
        assert found is not None
        start, end = ((now + timedelta(minutes=tick)).astimezone(UTC) for tick in found)
        assert start.date() == now.date()
        assert end.date() == now.date() + timedelta(days=5)


@settings(max_examples=60)
@given(st.integers(0, 10**9))
def test_trips_say_the_same_as_asking_the_calendars_tick_by_tick(seed: int) -> None:
    random = Random(seed)
    zone = random.choice(["UTC", "America/New_York", "Australia/Lord_Howe"])
    spans = [(time(0), time(0)), (time(22), time(3)), (time(9), time(12)), (time(14), time(14, 30))]
    out, back = (
        weekdays(zone, random.choice(spans), days=random.sample(range(7), random.randint(1, 4)))
        for _ in range(2)
    )
    away = Away(out="out", back="back", days=random.choice([0, 0, 1, 3]))
    now = datetime(2026, random.choice([1, 3, 4, 10, 11]), random.randint(1, 28), 7, tzinfo=UTC)
    ticks = Ticks(now, 15)
    trips = Trips.of(away, {"out": out, "back": back}, ticks, now + timedelta(days=16))
    at_ticks = [ticks.at(tick) for tick in range(16 * 96)]
    local = [instant.astimezone(ZoneInfo(zone)) for instant in at_ticks]
    days, coming = [at.date() for at in local], [back.is_open(at) for at in at_ticks]
    leaving = [
        out.is_open(at) or (here.time() != time(0) and out.is_open(at - timedelta.resolution))
        for at, here in zip(at_ticks, local, strict=True)
    ]
    found, best = trips.fit(0), None
    ends: dict[int, int] = {}
    for tick in range(7 * 96):
        if leaving[tick]:
            until = days[tick] + timedelta(days=away.days)
            later = range(tick + 1, len(at_ticks))
            back_at = next((t for t in later if coming[t] and days[t] >= until), None)
            if back_at is not None:
                ends[tick] = back_at
                found = trips.fit(tick)
                assert found == (tick, back_at)
    for tick in range(0, 7 * 96, 7):
        best = max((s for s, e in ends.items() if e <= tick), default=-1)
        assert trips.last_start(tick) == best
        soonest = min((e for e in ends.values() if e > tick), default=None)
        if soonest is not None:
            assert trips.next_back(tick) <= soonest
    if ends:
        assert trips.least <= min(e - s for s, e in ends.items())


def with_a_trip(seed: int) -> Problem:
    """A tiny shop in which some work is sent away after it is done."""
    problem, random = a_tiny_shop(seed, 3), Random(seed)
    sent = random.choice(problem.tasks[:2])
    away = Away(
        out=random.choice(["out", "always"]),
        back=random.choice(["back", "always"]),
        days=random.choice([0, 1, 1]),
    )
    trip = Task(key="away", minutes=1, after=(sent.key,), away=away, order=random.choice(["x", ""]))
    tasks = tuple(
        replace(task, after=(*task.after, "away")) if task.key == "2" else task
        for task in problem.tasks
    )
    calendars = {
        **problem.calendars,
        "out": on_days(*random.sample(range(4), 2), hours=(time(10), time(15))),
        "back": on_days(*random.sample(range(5), 3), hours=(time(11), time(11, 15))),
    }
    return replace(problem, tasks=(*tasks, trip), calendars=calendars)


@pytest.mark.parametrize("seed", range(25))
def test_tiny_shops_are_planned_as_well_as_by_trying_everything(seed: int) -> None:
    problem = with_a_trip(seed)
    least = best_main(problem)
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    if least < float("inf"):
        assert schedule.proved
        assert schedule.objective.main(problem.goal) == least


@pytest.mark.parametrize("seed", range(6))
def test_the_compiled_kernel_finds_what_the_plain_one_does(seed: int) -> None:
    problem = _with_outwork(seed)
    floor = lay_out(problem, problem.now + FAR)
    first = dispatch(floor, first_come(floor))
    store = with_levels(store_of(floor, problem.goal, first, 8), levels_of(floor))
    found = []
    for is_compiled in (False, True):
        whole, real = store.numbers(is_compiled=is_compiled)
        engine = compiled("kernel") if is_compiled else kernel
        whole[kernel.RANDOM] = 4711
        engine.begin(whole, real)
        engine.anneal(whole, real, 200, 50.0, 0.0)
        ends = [int(whole[job + kernel.BEST_END]) for job in store.jobs]
        found.append((ends, float(real[kernel.BEST_MAIN])))
    assert found[0] == found[1]


@settings(max_examples=40)
@given(st.integers(0, 10**9), st.integers(2, 14))
def test_a_plan_with_outwork_breaks_no_rule(seed: int, size: int) -> None:
    problem = _with_outwork(seed, size)
    schedule = plan(problem, budget=Budget(evaluations=40))
    assert check(problem, schedule) == ()


def _with_outwork(seed: int, size: int = 10) -> Problem:
    """A random shop in which every other operation is sent away after it is done."""
    problem, random = a_random_shop(seed, size), Random(seed)
    calendars = {
        "out": on_days(*random.sample(range(7), 2), hours=(time(10), time(15))),
        "back": on_days(
            *random.sample(range(7), 3), hours=random.choice([MORNING, (time(0), time(0))])
        ),
    }
    tasks = []
    for i, task in enumerate(problem.tasks):
        after = tuple(f"{key} away" if int(key[1:]) % 2 else key for key in task.after)
        tasks.append(replace(task, after=after, batch_share=1.0))
        if i % 2:
            days = random.choice([0, 1, 5])
            away = Away(out="out", back=random.choice(["back", "out"]), days=days)
            tasks.append(Task(key=f"{task.key} away", minutes=1, after=(task.key,), away=away,
                              order=random.choice([task.order, ""])))  # fmt: skip
    return replace(problem, tasks=tuple(tasks), calendars={**problem.calendars, **calendars})


def test_a_promise_knows_that_a_missed_collection_costs_a_week() -> None:
    # Ready on Thursday in time for the collection at 16:00 by its standard time, but not surely.
    out = on_days(THU, hours=(time(16), time(16, 15)))
    problem = a_spray_shop(out, on_days(*range(7)), 1, release=at(8, day=3), spread=0.5)
    sent = replace(problem.tasks[0], minutes=390)
    problem = replace(problem, tasks=(sent, *problem.tasks[1:]))
    made = plan(problem)
    floor = lay_out(problem, problem.now + timedelta(days=200))
    promise = promises(problem, floor, {b.task: b for b in made.bookings}, draws=200)["o"]
    assert promise.planned == at(9, day=4)
    assert promise.p90 == at(9, day=11)


def test_the_collection_is_named_where_it_is_what_moves_work() -> None:
    problem = a_spray_shop(on_days(MON, hours=(time(9), time(17))), on_days(TUE), 1)
    later = replace(problem, calendars={**problem.calendars, "out": on_days(THU)})
    before, after = ({b.task: b for b in plan(p).bookings} for p in (problem, later))
    del before["away"]
    (change,) = changes(later, before, after)
    assert (change.task, change.cause.kind, change.cause.task) == ("hang", "collection", "send")
    assert change.cause.until == at(8, day=3)
    longer = replace(problem.tasks[1], away=Away(out="out", back="back", days=2))
    slower = replace(problem, tasks=(problem.tasks[0], longer, problem.tasks[2]))
    (change,) = changes(slower, before, {b.task: b for b in plan(slower).bookings})
    assert (change.cause.kind, change.cause.until) == ("away", at(8, day=8))


NEVER = Calendar(timezone="UTC")
GONE = weekdays("UTC", MORNING)


@pytest.mark.parametrize(
    ("changed", "field", "words"),
    [
        ({"out": NEVER}, "calendars/out", "The calendar “out” has no working hour between"),
        ({"back": NEVER}, "calendars/back", "give it weekly hours or an extra opening"),
    ],
)
def test_a_calendar_without_a_day_is_refused(
    changed: dict[str, Calendar], field: str, words: str
) -> None:
    problem = a_spray_shop(on_days(THU), on_days(TUE), 1)
    with pytest.raises(RuleBroken, match=words) as found:
        plan(replace(problem, calendars={**problem.calendars, **changed}))
    assert found.value.field == field


def test_a_trip_that_is_never_over_is_refused() -> None:
    once = Calendar(
        timezone="UTC", extra=tuple(on_days(THU).openings(NOW, NOW + timedelta(days=6)))
    )
    problem = a_spray_shop(on_days(THU), once, 1)
    with pytest.raises(
        RuleBroken, match="no day to leave is followed by one to come back"
    ) as found:
        plan(problem)
    assert found.value.field == "tasks/1/away"


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"away": Away(out="out", back="back", days=366)}, "tasks/1/away/days", "0 to 365 days"),
        ({"away": Away(out="here", back="back")}, "tasks/1/away/out", "the calendar “here”"),
        ({"hands": ("Ada",)}, "tasks/1/away", "nobody works at it here"),
        ({"setup_min": 5}, "tasks/1/away", "nobody works at it here"),
        ({"pinned_start": at(9)}, "tasks/1/away", "nobody works at it here"),
        ({"under_way": True}, "tasks/1/away", "nobody works at it here"),
    ],
)
def test_what_is_away_has_no_work_of_its_own(
    changes: dict[str, object], field: str, words: str
) -> None:
    problem = a_spray_shop(on_days(THU), on_days(TUE), 1)
    send, trip, hang = problem.tasks
    with pytest.raises(RuleBroken, match=words) as found:
        plan(replace(problem, tasks=(send, replace(trip, **changes), hang)))  # type: ignore[arg-type]
    assert found.value.field == field


def test_idle_pieces_and_setups_are_counted_as_the_checker_counts_them() -> None:
    problem = a_spray_shop(on_days(THU), on_days(TUE), 4)
    made = plan(replace(problem, goal=Goal.MAKESPAN))
    assert made.objective.setup_min == 0
    # From when the doors are ready on Monday at 9 until they leave on Thursday at 8.
    assert made.objective.idle_min == 71 * 60
