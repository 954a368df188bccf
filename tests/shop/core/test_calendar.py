"""Working time: weekly hours, closures, extra openings, and the two odd nights of the year."""

from datetime import UTC, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter

from orders.core.errors import RuleBroken
from shop.core.calendar import Calendar, Closure, Opening, Shift, round_the_clock, weekdays

BERLIN = ZoneInfo("Europe/Berlin")
MONDAY = datetime(2026, 1, 5, tzinfo=UTC)
OFFICE = weekdays("UTC", (time(8), time(12)), (time(13), time(17)))


def hours(calendar: Calendar, start: datetime, days: int) -> list[tuple[str, str]]:
    return [
        (f"{o.start:%a %H:%M}", f"{o.end:%a %H:%M}")
        for o in calendar.openings(start, start + timedelta(days=days))
    ]


def test_a_week_opens_on_its_weekdays_only() -> None:
    assert hours(OFFICE, MONDAY + timedelta(days=4), 3) == [
        ("Fri 08:00", "Fri 12:00"),
        ("Fri 13:00", "Fri 17:00"),
    ]


def test_openings_are_cut_at_both_ends() -> None:
    found = OFFICE.openings(MONDAY.replace(hour=9), MONDAY.replace(hour=13, minute=30))
    assert [o.minutes for o in found] == [180, 30]


def test_shifts_that_touch_or_overlap_make_one_opening() -> None:
    calendar = weekdays("UTC", (time(8), time(10)), (time(10), time(12)), (time(11), time(14)))
    assert hours(calendar, MONDAY, 1) == [("Mon 08:00", "Mon 14:00")]


def test_a_night_shift_belongs_to_the_day_on_which_it_begins() -> None:
    calendar = Calendar(timezone="UTC", weekly=(Shift(weekday=6, start=time(22), end=time(6)),))
    assert hours(calendar, MONDAY, 1) == [("Mon 00:00", "Mon 06:00")]


def test_a_day_round_the_clock_never_closes() -> None:
    assert hours(round_the_clock(), MONDAY, 7) == [("Mon 00:00", "Mon 00:00")]


def test_a_closure_takes_its_part_of_the_day() -> None:
    leave = Closure(start=MONDAY.replace(hour=11), end=MONDAY.replace(hour=15), reason="dentist")
    calendar = Calendar(timezone="UTC", weekly=OFFICE.weekly, closures=(leave,))
    assert hours(calendar, MONDAY, 1) == [("Mon 08:00", "Mon 11:00"), ("Mon 15:00", "Mon 17:00")]


def test_overtime_wins_over_a_holiday() -> None:
    holiday = Closure(start=MONDAY, end=MONDAY + timedelta(days=1), reason="holiday")
    overtime = Opening(start=MONDAY.replace(hour=9), end=MONDAY.replace(hour=11))
    calendar = Calendar(
        timezone="UTC", weekly=OFFICE.weekly, closures=(holiday,), extra=(overtime,)
    )
    assert hours(calendar, MONDAY, 1) == [("Mon 09:00", "Mon 11:00")]


# The clocks of Germany go forward on 29 March 2026 at 02:00 and back on 25 October at 03:00.
# Source: IANA time zone database, Europe/Berlin (rule EU: last Sunday of March and October, 01:00
# UTC).
@pytest.mark.parametrize(
    ("saturday", "minutes"),
    [
        (datetime(2026, 3, 28, 12, tzinfo=BERLIN), 7 * 60),
        (datetime(2026, 10, 24, 12, tzinfo=BERLIN), 9 * 60),
        (datetime(2026, 6, 6, 12, tzinfo=BERLIN), 8 * 60),
    ],
)
def test_a_night_shift_lasts_as_long_as_the_night(saturday: datetime, minutes: float) -> None:
    night = Calendar(
        timezone="Europe/Berlin", weekly=(Shift(weekday=5, start=time(22), end=time(6)),)
    )
    assert night.minutes_between(saturday, saturday + timedelta(days=1)) == minutes


def test_the_day_begins_at_eight_by_the_wall_before_and_after_the_change() -> None:
    calendar = weekdays("Europe/Berlin", (time(8), time(16)))
    found = calendar.openings(
        datetime(2026, 3, 27, tzinfo=BERLIN), datetime(2026, 3, 31, tzinfo=BERLIN)
    )
    assert [o.start for o in found] == [
        datetime(2026, 3, 27, 7, tzinfo=UTC),
        datetime(2026, 3, 30, 6, tzinfo=UTC),
    ]


def test_a_whole_day_has_23_hours_when_the_clocks_go_forward() -> None:
    start = datetime(2026, 3, 29, tzinfo=BERLIN)
    end = datetime(2026, 3, 30, tzinfo=BERLIN)
    assert round_the_clock("Europe/Berlin").minutes_between(start, end) == 23 * 60


def test_work_goes_on_after_the_break_and_the_night() -> None:
    friday = MONDAY + timedelta(days=4)
    assert OFFICE.add_minutes(friday.replace(hour=11), 60 + 240 + 30) == (
        MONDAY + timedelta(days=7, hours=8, minutes=30)
    )


def test_work_may_end_exactly_when_the_day_does() -> None:
    assert OFFICE.add_minutes(MONDAY.replace(hour=16), 60) == MONDAY.replace(hour=17)


def test_a_calendar_without_hours_is_refused_in_a_sentence() -> None:
    with pytest.raises(RuleBroken, match="has no working hour between 2026-01-05 and") as caught:
        Calendar(timezone="UTC").add_minutes(MONDAY, 10)
    assert caught.value.field == "calendar"


def test_a_calendar_closed_throughout_is_refused_in_a_sentence() -> None:
    closed = Closure(start=MONDAY, end=MONDAY + timedelta(days=40))
    calendar = Calendar(timezone="UTC", weekly=OFFICE.weekly, closures=(closed,))
    with pytest.raises(RuleBroken, match="no working hour"):
        calendar.require_hours(MONDAY, MONDAY + timedelta(days=30))


def test_more_work_than_the_horizon_holds_is_refused_in_a_sentence() -> None:
    with pytest.raises(RuleBroken, match="has no 10000 working minutes before 2026-01-12"):
        OFFICE.add_minutes(MONDAY, 10_000, horizon=timedelta(days=7))


def test_an_unknown_time_zone_is_refused() -> None:
    with pytest.raises(RuleBroken, match="no time zone “Oak/Bench”"):
        Calendar(timezone="Oak/Bench")


def test_a_time_without_a_zone_is_refused() -> None:
    with pytest.raises(RuleBroken, match="needs a time zone"):
        OFFICE.openings(datetime(2026, 1, 5), MONDAY)  # noqa: DTZ001


def test_an_opening_that_ends_before_it_starts_is_refused() -> None:
    with pytest.raises(RuleBroken, match="must come after"):
        Opening(start=MONDAY, end=MONDAY)


def test_an_eighth_weekday_is_refused() -> None:
    with pytest.raises(RuleBroken, match="from 0"):
        Shift(weekday=7, start=time(8), end=time(9))


def test_a_calendar_goes_through_json_and_back() -> None:
    adapter = TypeAdapter(Calendar)
    leave = Closure(start=MONDAY, end=MONDAY + timedelta(days=1), reason="leave")
    calendar = Calendar(timezone="Europe/Berlin", weekly=OFFICE.weekly, closures=(leave,))
    assert adapter.validate_json(adapter.dump_json(calendar)) == calendar


instants = st.datetimes(
    datetime(2026, 1, 1),  # noqa: DTZ001
    datetime(2026, 12, 1),  # noqa: DTZ001
    timezones=st.sampled_from([UTC, timezone(timedelta(hours=5, minutes=30))]),
)
zones = st.sampled_from(["UTC", "Europe/Berlin", "Australia/Lord_Howe", "America/St_Johns"])


@given(instants, st.integers(1, 20_000), zones)
def test_adding_minutes_and_counting_them_agree(start: datetime, minutes: int, zone: str) -> None:
    calendar = weekdays(zone, (time(22), time(3)), (time(8), time(12)), days=range(7))
    end = calendar.add_minutes(start, minutes)
    assert calendar.minutes_between(start, end) == pytest.approx(minutes)


@given(instants, instants, instants, zones)
def test_a_stretch_counts_as_its_parts_do(a: datetime, b: datetime, c: datetime, zone: str) -> None:
    a, b, c = sorted([a, b, c])
    calendar = weekdays(zone, (time(21), time(2, 30)), (time(8), time(12)), days=range(7))
    whole = calendar.minutes_between(a, c)
    assert calendar.minutes_between(a, b) + calendar.minutes_between(b, c) == pytest.approx(whole)
