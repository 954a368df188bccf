"""Calendar feeds: what a calendar reads, and who may hand out the address."""

import re
from datetime import UTC, datetime, timedelta

import icalendar
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.models import Booking, Feed, Hand
from shop.services.calendars import close
from shop.services.feeds import feed_of, make_feed, written
from tests.builders import a_hand, a_member
from tests.costing.documents.samples import a_planned_shop

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 1, 5, 9, 30, tzinfo=UTC)


@pytest.fixture
def plan():
    return a_planned_shop()


def signed_in(role, workshop):
    """A browser signed in under a role."""
    browser = Client()
    browser.force_login(a_member(workshop, role), "shop.services.access.RoleBackend")
    return browser


def events_of(whose, at=NOW):
    """What a calendar would show of a hand or a station."""
    feed = feed_of(make_feed(whose, by=None, at=at), at=at)
    return icalendar.Calendar.from_ical(written(feed, at=at)).walk("VEVENT")


def test_a_hand_has_each_stretch_of_their_work(plan):
    hand = plan.bookings.first().hand
    own = Booking.objects.filter(plan=plan, hand=hand)
    first = own.first()
    first.stretches = [
        [(first.starts_at + timedelta(minutes=m)).isoformat() for m in span]
        for span in ((0, 20), (40, 60))
    ]
    first.save()

    events = events_of(hand)

    assert len(events) == sum(len(booking.stretches) for booking in own)
    mine = [e for e in events if str(e["UID"]).startswith(f"operation-{first.operation_id}-")]
    assert [e.decoded("DTSTART") for e in mine] == [
        first.starts_at,
        first.starts_at + timedelta(minutes=40),
    ]
    assert mine[0]["SUMMARY"].startswith(first.operation.commission.mark)
    assert mine[0]["SEQUENCE"] == plan.number


def test_a_helper_has_the_work_as_well_and_leave_stands_in_it(plan):
    booking = plan.bookings.first()
    helper = a_hand(plan.workshop, name="Sam, the helper; of all")
    booking.helpers.add(helper)
    close(
        plan.workshop,
        starts_at=NOW + timedelta(days=2),
        ends_at=NOW + timedelta(days=3),
        reason="Leave",
        hand=helper,
    )

    assert sorted(str(e["SUMMARY"]) for e in events_of(helper)) == sorted(
        [f"{booking.operation.commission.mark} {booking.operation.name}", "Leave"]
    )


def test_a_station_has_its_own(plan):
    station = plan.bookings.first().station

    assert len(events_of(station)) == plan.bookings.filter(station=station).count()


def test_the_address_is_shown_once_and_ends(plan):
    browser = signed_in("foreman", plan.workshop)
    hand = Hand.objects.of(plan.workshop).first()
    page = browser.post(reverse("feeds"), {"hand": hand.pk, "act": "make"}).content.decode()
    address = re.search(r"http://testserver(/feed/\S+\.ics)", page)[1]

    answer = Client().get(address)
    assert answer["Content-Type"].startswith("text/calendar")
    assert b"BEGIN:VCALENDAR" in answer.content
    assert Feed.objects.get().read_at is not None
    assert address not in browser.get(reverse("feeds")).content.decode()
    browser.post(reverse("feeds"), {"hand": hand.pk, "act": "end"})
    assert Client().get(address).status_code == 404


def test_a_new_address_ends_the_old_one(plan):
    hand = Hand.objects.of(plan.workshop).first()
    old = make_feed(hand, by=None, at=NOW)
    new = make_feed(hand, by=None, at=NOW)

    assert feed_of(old, at=NOW) is None
    assert feed_of(new, at=NOW).hand == hand
    Hand.objects.filter(pk=hand.pk).update(is_in_use=False)
    assert feed_of(new, at=timezone.now()) is None


def test_a_hand_has_only_their_own(plan):
    browser = signed_in("hand", plan.workshop)
    other = Hand.objects.of(plan.workshop).first()

    assert other.name not in browser.get(reverse("feeds")).content.decode()
    assert browser.post(reverse("feeds"), {"hand": other.pk, "act": "make"}).status_code == 403
    station = plan.bookings.first().station_id
    assert browser.post(reverse("feeds"), {"station": station, "act": "make"}).status_code == 403
    assert browser.post(reverse("feeds"), {"hand": "x"}).status_code == 404


def test_the_foreman_issues_the_sheets_of_a_day(plan):
    foreman = signed_in("foreman", plan.workshop)
    on = plan.bookings.first().starts_at.date().isoformat()

    page = foreman.post(reverse("days-issue"), {"on": on}, follow=True).content.decode()
    again = foreman.post(reverse("days-issue"), {"on": on}, follow=True).content.decode()

    assert "no. 1. Print them" in page
    assert "Issued as no. 1 at" in again
    assert "it still holds" in again
    assert signed_in("estimator", plan.workshop).post(reverse("days-issue")).status_code == 403
