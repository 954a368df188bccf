"""Weeks of opening hours, and what is closed."""

from datetime import UTC, datetime, time

import pytest

from orders.core.errors import NotNow, RuleBroken, Stale
from shop.models import Closure, Opening
from shop.services.calendars import (
    Hours,
    add_calendar,
    change_calendar,
    change_closure,
    close,
    remove_calendar,
    reopen,
)
from tests.builders import a_calendar, a_hand, a_station, a_workshop

pytestmark = pytest.mark.django_db
NINE = datetime(2026, 1, 5, 9, tzinfo=UTC)
TEN = datetime(2026, 1, 5, 10, tzinfo=UTC)


@pytest.fixture
def workshop():
    return a_workshop()


def hours(start: int, end: int, weekday: int = 0) -> Hours:
    return Hours(weekday=weekday, starts=time(start), ends=time(end))


def test_a_week_is_replaced_as_a_whole(workshop):
    calendar = add_calendar(workshop, name="Summer", hours=[hours(8, 12), hours(13, 17)])
    change_calendar(calendar, version=1, hours=[hours(7, 15, weekday=1)])
    assert [str(opening) for opening in calendar.openings.all()] == ["Tuesday 07:00 to 15:00"]


def test_overlapping_hours_are_refused_and_nothing_changes(workshop):
    calendar = a_calendar(workshop)
    with pytest.raises(
        RuleBroken, match="On Monday the hours from 11:00 overlap those from 08:00 to 12:00"
    ) as caught:
        change_calendar(calendar, hours=[hours(8, 12), hours(11, 13)])
    assert caught.value.field == "hours/1/starts"
    assert calendar.openings.count() == 10


def test_hours_may_touch(workshop):
    add_calendar(workshop, name="Long", hours=[hours(12, 17), hours(8, 12)])
    assert Opening.objects.count() == 2


def test_hours_that_end_before_they_start_are_refused(workshop):
    with pytest.raises(RuleBroken, match="closing time 06:00 must be later") as caught:
        add_calendar(workshop, name="Night", hours=[hours(22, 6)])
    assert caught.value.field == "hours/0/ends"


def test_a_calendar_in_use_keeps_an_hour(workshop):
    calendar = a_calendar(workshop)
    a_station(workshop, name="Saw", calendar=calendar)
    a_hand(workshop, name="Ines", calendar=calendar)
    with pytest.raises(RuleBroken, match="Saw and Ines follow “Usual week”") as caught:
        change_calendar(calendar, hours=[])
    assert caught.value.field == "hours"
    assert calendar.openings.count() == 10


def test_a_calendar_that_nobody_follows_may_be_empty(workshop):
    calendar = a_calendar(workshop)
    a_hand(workshop, calendar=calendar, is_in_use=False)
    change_calendar(calendar, hours=[])
    assert calendar.openings.count() == 0


def test_a_calendar_in_use_is_not_taken_away(workshop):
    calendar = a_calendar(workshop)
    a_hand(workshop, name="Ines", calendar=calendar)
    with pytest.raises(NotNow, match="Ines still follow “Usual week”"):
        remove_calendar(calendar)
    unused = a_calendar(workshop)
    remove_calendar(unused)


def test_an_old_edition_of_a_calendar_is_refused(workshop):
    calendar = a_calendar(workshop)
    change_calendar(calendar, name="Winter", version=1)
    with pytest.raises(Stale):
        change_calendar(calendar, name="Spring", version=1)


def test_a_closure_needs_a_reason(workshop):
    with pytest.raises(RuleBroken, match="Say why it is closed"):
        close(workshop, starts_at=NINE, ends_at=TEN, reason=" ")


def test_a_closure_ends_after_it_starts(workshop):
    with pytest.raises(RuleBroken, match="end must be later") as caught:
        close(workshop, starts_at=TEN, ends_at=NINE, reason="Leave")
    assert caught.value.field == "ends_at"


def test_a_closure_has_one_target_of_this_shop(workshop):
    with pytest.raises(RuleBroken, match="not both at once"):
        close(
            workshop,
            station=a_station(workshop),
            hand=a_hand(workshop),
            starts_at=NINE,
            ends_at=TEN,
            reason="Course",
        )
    with pytest.raises(RuleBroken, match="of this workshop"):
        close(workshop, hand=a_hand(a_workshop()), starts_at=NINE, ends_at=TEN, reason="Course")


def test_a_closure_is_moved_and_taken_away(workshop):
    closure = close(workshop, starts_at=NINE, ends_at=TEN, reason="Course")
    change_closure(
        closure, starts_at=NINE, ends_at=datetime(2026, 1, 6, tzinfo=UTC), reason="Leave"
    )
    assert Closure.objects.get().reason == "Leave"
    reopen(closure)
    assert not Closure.objects.exists()


def test_overtime_alone_is_no_working_hour(workshop):
    calendar = a_calendar(workshop)
    a_hand(workshop, calendar=calendar)
    evening = Hours(weekday=0, starts=time(18), ends=time(20), is_overtime=True)
    with pytest.raises(RuleBroken, match="no working hour"):
        change_calendar(calendar, hours=[evening])
    change_calendar(calendar, hours=[hours(8, 12), evening])
    assert calendar.openings.get(is_overtime=True).starts == time(18)
