"""What a shop supposes of itself, as a problem of the planner."""

from datetime import UTC, datetime, time, timedelta

import pytest

from shop.core.calendar import Calendar, Shift, weekdays
from shop.core.plan.problem import Order, Problem, Resource, Task
from shop.core.scenario import (
    Away,
    Hire,
    Overtime,
    SupposedOrder,
    faults_of,
    week_min,
    with_away,
    with_hand,
    with_order,
    with_overtime,
    with_second,
    without_order,
)

MONDAY = datetime(2026, 11, 30, tzinfo=UTC)
WEEK = weekdays("UTC", (time(8), time(12)), (time(13), time(17)))


@pytest.fixture
def shop():
    return Problem(
        now=MONDAY,
        calendars={"week": WEEK},
        resources=(
            Resource(key="saw", kind="station", label="Saw", calendar="week"),
            Resource(key="ines", kind="hand", label="Ines", calendar="week"),
            Resource(key="tom", kind="hand", label="Tom", calendar="week"),
        ),
        tasks=(Task(key="cut", minutes=60, stations=("saw",)),),
    )


def open_min(problem, key, day, *, offered=False):
    resource = next(each for each in problem.resources if each.key == key)
    calendar = problem.calendars[resource.overtime if offered else resource.calendar]
    start = MONDAY + timedelta(days=day)
    return calendar.minutes_between(start, start + timedelta(days=1))


def test_overtime_is_offered_after_the_last_hour_and_so_are_the_stations(shop):
    longer = with_overtime(shop, ["ines"], [0, 5], 90, 0.5)

    assert [open_min(longer, key, 0) for key in ("ines", "saw", "tom")] == [480, 480, 480]
    offered = [
        [open_min(longer, key, day, offered=True) for key in ("ines", "saw")] for day in (0, 1, 5)
    ]
    assert offered == [[570, 570], [480, 480], [90, 90]]
    assert (longer.resources[2].overtime, longer.prices.overtime) == ("", 0.5)


def test_overtime_comes_after_what_may_be_offered_already(shop):
    once = with_overtime(shop, ["ines"], [0], 60, 1)
    twice = with_overtime(once, ["ines"], [0], 30, 1)
    assert open_min(twice, "ines", 0, offered=True) == 480 + 90


def test_overtime_ends_with_the_day(shop):
    late = Calendar(timezone="UTC", weekly=(Shift(weekday=0, start=time(14), end=time(22)),))
    shop = with_hand(shop, "eve", "Eve", {"joinery": 2}, late)
    longer = with_overtime(shop, ["eve"], [0], 300, 1)
    assert open_min(longer, "eve", 0, offered=True) == 599


def test_who_is_away_works_on_either_side_of_it_and_nobody_else_is(shop):
    away = with_away(
        with_overtime(shop, ["tom"], [0], 60, 1),
        "tom",
        MONDAY + timedelta(hours=10),
        MONDAY + timedelta(days=1),
    )
    assert [open_min(away, key, 0) for key in ("tom", "ines")] == [120, 480]
    assert open_min(away, "tom", 0, offered=True) == 120


def test_a_hand_a_station_and_an_order_come_in_addition(shop):
    order = SupposedOrder(order=Order(key="new1"), tasks=(Task(key="new1 0", minutes=5),))
    more = with_order(
        with_second(with_hand(shop, "eve", "Eve", {"joinery": 3}, WEEK), "saw", "saw2"), order
    )

    assert [each.label for each in more.resources] == ["Saw", "Ines", "Tom", "Eve", "Saw, another"]
    assert [task.key for task in more.tasks] == ["cut", "new1 0"]
    assert open_min(more, "eve", 0) == open_min(more, "saw2", 0) == 480


def test_a_week_is_counted_over_midnight_too():
    night = Calendar(timezone="UTC", weekly=(Shift(weekday=0, start=time(22), end=time(6)),))
    assert (week_min(WEEK), week_min(night)) == (5 * 480, 480)


@pytest.mark.parametrize(
    ("change", "fields"),
    [
        (Hire(name="Eve", skills={}, calendar=1), ["skills"]),
        (Away(starts_at=MONDAY, ends_at=MONDAY, hand=1), ["ends_at"]),
        (Hire(name=" ", skills={"joinery": 4}, calendar=1), ["name", "skills/joinery"]),
        (Overtime(minutes=5, weekdays=(7,), price=0), ["minutes", "price", "weekdays"]),
        (Overtime(minutes=60, weekdays=()), ["weekdays"]),
        (Away(starts_at=MONDAY, ends_at=MONDAY + timedelta(1)), ["hand"]),
        (Away(starts_at=MONDAY.replace(tzinfo=None), ends_at=MONDAY, hand=1), ["starts_at"]),
    ],
)
def test_what_no_shop_could_suppose_is_a_fault(change, fields):
    assert [fault.field for fault in faults_of(change)] == fields


def test_an_order_left_out_goes_with_its_glue_and_nothing_else(shop):
    doors = SupposedOrder(
        order=Order(key="doors"),
        tasks=(
            Task(key="glue", minutes=30, stations=("saw",), order="doors"),
            Task(key="cure", minutes=240, after=("glue",)),
            Task(key="plane", minutes=30, stations=("saw",), after=("cure",), order="doors"),
        ),
    )

    assert without_order(with_order(shop, doors), "doors") == shop
