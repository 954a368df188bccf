"""Load by week, and the narrowest place."""

from datetime import UTC, date, datetime, timedelta

import pytest

from shop.models import Booking, Plan
from shop.services.calendars import close
from shop.services.load import load_of
from tests.builders import a_calendar, a_hand, a_station, a_workshop, an_operation, an_order

pytestmark = pytest.mark.django_db
WEDNESDAY = datetime(2026, 1, 7, 13, tzinfo=UTC)


@pytest.fixture
def plan():
    """Eight hours of Ada at the saw on Thursday, two of Ben with her help on the next Monday."""
    shop = a_workshop(time_zone="UTC")
    week = a_calendar(shop)
    saw = a_station(shop, calendar=week, name="Saw", kind="saw")
    a_station(shop, calendar=week, name="Benches", places=2)
    ada, ben = (a_hand(shop, calendar=week, name=name) for name in ("Ada", "Ben"))
    plan = Plan.objects.create(
        workshop=shop, number=1, made_at=WEDNESDAY, read_at=WEDNESDAY, method="by hand"
    )
    order = an_order(shop)

    def book(start, hours, **where):
        end = start + timedelta(hours=hours)
        return Booking.objects.create(
            plan=plan,
            operation=an_operation(order),
            starts_at=start,
            ends_at=end,
            stretches=[[start.isoformat(), end.isoformat()]],
            **where,
        )

    book(datetime(2026, 1, 8, 8, tzinfo=UTC), 8, station=saw, hand=ada)
    shared = book(datetime(2026, 1, 12, 8, tzinfo=UTC), 2, hand=ben)
    shared.helpers.add(ada)
    book(datetime(2026, 1, 5, 8, tzinfo=UTC), 4, station=saw, hand=ben)
    return plan


def minutes(row):
    return [(cell.load_min, cell.open_min) for cell in row.cells[:2]]


def test_hours_ahead_are_counted_by_week_against_what_is_open(plan):
    found = load_of(plan, WEDNESDAY)

    assert found.mondays[:2] == (date(2026, 1, 5), date(2026, 1, 12))
    saw, benches = found.stations
    assert minutes(saw) == [(480, 4 * 60 + 2 * 480), (0, 5 * 480)]
    assert minutes(benches) == [(0, 2 * (4 * 60 + 2 * 480)), (0, 2 * 5 * 480)]


def test_who_helps_is_at_work_as_well(plan):
    ada, ben = load_of(plan, WEDNESDAY).hands

    assert [cell.load_min for cell in ada.cells[:2]] == [480, 120]
    assert [cell.load_min for cell in ben.cells[:2]] == [0, 120]


def test_the_narrowest_place_is_the_fullest_of_all(plan):
    found = load_of(plan, WEDNESDAY)
    assert (found.narrowest.name, found.busy_until) == ("Ada", date(2026, 1, 18))
    assert [found.is_narrow(row) for row in found.hands] == [True, False]


def test_a_closed_week_has_no_share(plan):
    saw = plan.workshop
    close(
        saw,
        starts_at=datetime(2026, 1, 12, tzinfo=UTC),
        ends_at=datetime(2026, 1, 19, tzinfo=UTC),
        reason="holiday",
    )

    assert {row.cells[1].percent for row in load_of(plan, WEDNESDAY).stations} == {None}


def test_an_empty_plan_has_no_narrow_place(plan):
    Booking.objects.all().delete()

    assert load_of(plan, WEDNESDAY).narrowest is None
