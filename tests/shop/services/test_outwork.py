"""Outwork goes out and comes back on its days: the settings, the plan, the bench and promises."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from orders.core.errors import NotReady, RuleBroken
from orders.models import Operation
from shop.core.plan.check import check
from shop.core.plan.planner import plan
from shop.models import Hand
from shop.services.calendars import close
from shop.services.outwork import Outwork
from shop.services.problem import problem_for
from shop.services.waiting import waits_of
from shop.services.workshops import change_workshop
from tests.builders import a_calendar, a_hand, a_station, a_workshop, an_operation, an_order

pytestmark = pytest.mark.django_db
MONDAY = datetime(2026, 1, 5, 7, tzinfo=UTC)
TUE, THU = 1, 3


@pytest.fixture
def shop():
    """Ines at a bench from Monday to Friday, eight to five."""
    workshop = a_workshop()
    week = a_calendar(workshop)
    a_station(workshop, name="Bench", calendar=week)
    a_hand(workshop, name="Ines", calendar=week, skills={"joinery": 2})
    return workshop


def at(day: int, hour: int, minute: int = 0) -> datetime:
    """A time of the workshop so many days after the Monday."""
    return MONDAY.replace(hour=hour, minute=minute) + timedelta(days=day)


def doors(shop):
    """Doors that are sent to be sprayed and then hung."""
    order = an_order(shop)
    sent = an_operation(order, station_kind="outwork", skill="joinery", name="Send out")
    hung = an_operation(order, number=2, name="Hang")
    hung.after.add(sent)
    return sent, hung


def planned(shop) -> dict:
    shop.refresh_from_db()
    problem = problem_for(shop, MONDAY)
    schedule = plan(problem)
    assert check(problem, schedule) == ()
    return {booking.task: booking for booking in schedule.bookings}


def collected(shop, **more):
    """Collected on Thursday at ten, away for four days, delivered on Tuesday."""
    days = {"outwork_days": 4, "outwork_leaves_on": [THU], "outwork_leaves_at": time(10)}
    return change_workshop(shop, **{**days, "outwork_returns_on": [TUE], **more})


def test_what_follows_waits_for_the_collection_and_the_delivery(shop):
    doors(shop)
    collected(shop)
    found = planned(shop)
    away = next(booking for booking in found.values() if booking.hand is None)
    assert (away.start, away.end) == (at(3, 10), at(8, 8))
    assert max(booking.start for booking in found.values()) == at(8, 8)


def test_a_holiday_of_the_workshop_puts_the_collection_off_by_a_week(shop):
    doors(shop)
    collected(shop)
    close(shop, starts_at=at(3, 0), ends_at=at(4, 0), reason="Epiphany")
    away = next(booking for booking in planned(shop).values() if booking.hand is None)
    assert (away.start, away.end) == (at(10, 10), at(15, 8))


def test_the_leave_of_a_hand_is_no_holiday(shop):
    doors(shop)
    collected(shop)
    week = Hand.objects.get(name="Ines").calendar
    other = a_hand(shop, name="Tom", calendar=week, skills={"machining": 1})
    close(shop, hand=other, starts_at=at(3, 0), ends_at=at(4, 0), reason="leave")
    away = next(booking for booking in planned(shop).values() if booking.hand is None)
    assert away.start == at(3, 10)


def test_without_days_it_goes_out_and_comes_back_on_any_working_day(shop):
    outwork = Outwork.of(change_workshop(shop, outwork_days=5), MONDAY)
    # Finished on Friday as the workshop closes; five days later is a Wednesday.
    assert outwork.trip(at(4, 17)) == (at(4, 17), at(9, 8))
    # Five days after a Monday is a Saturday.
    assert outwork.trip(at(0, 12)) == (at(0, 12), at(7, 8))


def test_outwork_that_is_back_on_the_same_day(shop):
    workshop = collected(
        shop, outwork_days=0, outwork_returns_on=[THU], outwork_returns_at=time(15, 30)
    )
    assert Outwork.of(workshop, MONDAY).trip(MONDAY) == (at(3, 10), at(3, 15, 30))


def test_at_the_bench_what_was_sent_is_away_until_its_delivery(shop):
    sent, hung = doors(shop)
    collected(shop)
    Operation.objects.filter(pk=sent.pk).update(
        state=Operation.State.DONE, done_at=at(1, 9), pieces_done=sent.pieces
    )
    hung = Operation.objects.get(pk=hung.pk)
    (wait,) = waits_of(hung, at(2, 9))
    assert wait.until == at(8, 8)
    assert "is away until Tuesday 13 January" in wait.words(ZoneInfo(shop.time_zone))
    assert waits_of(hung, at(8, 8)) == []


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"outwork_leaves_on": [6]}, "outwork_leaves_at", "not open on Sunday at 10:00; choose"),
        ({"outwork_leaves_on": [5, 6], "outwork_leaves_at": None}, "outwork_leaves_on",
         "not open on Saturday or Sunday; choose when somebody is there"),
        ({"outwork_returns_at": time(21)}, "outwork_returns_at", "on Tuesday at 21:00"),
        ({"outwork_returns_on": [7]}, "outwork_returns_on", "a number from 0 to 6"),
        ({"outwork_returns_on": [1, 1]}, "outwork_returns_on", "each weekday once"),
        ({"outwork_days": 0, "outwork_returns_at": time(9)}, "outwork_returns_at",
         "comes back later than that"),
    ],
)  # fmt: skip
def test_days_on_which_nobody_is_there_are_refused_beside_the_field(shop, changes, field, words):
    with pytest.raises(RuleBroken, match=words) as found:
        collected(shop, **changes)
    assert found.value.field == field


def test_a_collection_day_that_the_week_lost_is_said_when_planning(shop):
    doors(shop)
    collected(shop)
    week = Hand.objects.get(name="Ines").calendar
    week.openings.filter(weekday=THU).delete()
    with pytest.raises(NotReady, match=r"Outwork never goes out: .* Tick another day"):
        planned(shop)


def test_days_of_outwork_that_nobody_sends_stop_no_plan(shop):
    an_operation(an_order(shop), name="Fit")
    collected(shop)
    Hand.objects.get(name="Ines").calendar.openings.filter(weekday=THU).delete()
    assert planned(shop)


def test_the_rounds_are_read_once_for_all_that_was_sent(shop):
    collected(shop)
    counts = []
    for _ in range(3):
        sent, _ = doors(shop)
        Operation.objects.filter(pk=sent.pk).update(
            state=Operation.State.DONE, done_at=MONDAY, pieces_done=sent.pieces
        )
        with CaptureQueriesContext(connection) as read:
            problem = problem_for(shop, MONDAY)
        counts.append(len(read))
    assert len([task for task in problem.tasks if task.release == at(8, 8)]) == 3
    assert len(set(counts)) == 1
