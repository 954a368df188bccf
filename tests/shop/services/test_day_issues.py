"""Day sheets that are issued: numbered, the same number while they hold, and what has changed."""

from datetime import UTC, datetime, timedelta

import pytest

from shop.models import DayIssue
from shop.services.day_issues import issue_days, last_issues
from shop.services.days import day_sheet
from tests.builders import a_hand, a_workshop
from tests.costing.documents.samples import a_planned_shop

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 1, 5, 7, 10, tzinfo=UTC)
ON = NOW.date()


@pytest.fixture
def plan():
    return a_planned_shop()


def issue(plan, on=ON):
    return issue_days(plan.workshop, on, by=None, at=NOW)


def hand_at_work(plan):
    return plan.bookings.get(starts_at__date=ON).hand


def test_only_who_has_work_is_issued_a_sheet_and_it_keeps_its_number(plan):
    (first,) = issue(plan)

    assert (first.hand, first.number) == (hand_at_work(plan), 1)
    assert issue(plan) == ()
    sheet = day_sheet(first.hand, ON)
    assert (sheet.issue, sheet.changed) == (1, ())


def test_another_day_of_collection_is_said(plan):
    booking = plan.bookings.get(starts_at__date=ON)
    plan.bookings.filter(pk=booking.pk).update(leaves_at=NOW, returns_at=NOW + timedelta(days=2))
    issue(plan)
    hand = hand_at_work(plan)
    assert day_sheet(hand, ON).changed == ()

    plan.bookings.filter(pk=booking.pk).update(returns_at=NOW + timedelta(days=3))
    name = f"{booking.operation.mark} {booking.operation.name}"
    assert day_sheet(hand, ON).changed == (
        f"{name} goes out Monday 07:10 and is back Thursday 07:10, not as issued.",
    )
    assert [one.number for one in issue(plan)] == [2]

    plan.bookings.filter(pk=booking.pk).update(leaves_at=None, returns_at=None)
    assert day_sheet(hand, ON).changed == (f"{name} stays here, not as issued.",)


def test_what_moves_is_said_and_issued_under_the_next_number(plan):
    issue(plan)
    hand, booking = hand_at_work(plan), plan.bookings.get(starts_at__date=ON)
    other = plan.bookings.exclude(pk=booking.pk).first().station
    booking.starts_at += timedelta(hours=2)
    booking.ends_at += timedelta(hours=2)
    booking.station = other
    booking.stretches = [[booking.starts_at.isoformat(), booking.ends_at.isoformat()]]
    booking.save()

    name = f"{booking.operation.mark} {booking.operation.name}"
    assert day_sheet(hand, ON).changed == (
        f"{name} moves from Bench 1 to Bench 2.",
        f"{name} begins at 12:00, not at 10:00.",
    )
    (second,) = issue(plan)
    assert second.number == 2
    assert day_sheet(hand, ON).changed == ()
    assert DayIssue.objects.count() == 2
    assert last_issues(plan.workshop, ON)[hand.pk] == second


def test_work_that_goes_to_another_hand_changes_both_sheets(plan):
    issue(plan)
    before = hand_at_work(plan)
    booking = plan.bookings.get(starts_at__date=ON)
    booking.hand = after = a_hand(plan.workshop, name="Zoe")
    booking.save()
    name = f"{booking.operation.mark} {booking.operation.name}"

    assert day_sheet(before, ON).changed == (f"{name} is taken out.",)
    issued = {one.hand: one for one in issue(plan)}
    assert {hand: one.number for hand, one in issued.items()} == {before: 2, after: 1}
    assert issued[before].content == []


def test_without_a_plan_there_is_nothing_to_issue():
    workshop = a_workshop()
    a_hand(workshop)

    assert issue_days(workshop, ON, by=None, at=NOW) == ()
