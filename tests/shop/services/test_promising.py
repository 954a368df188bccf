"""The earliest honest date of a commission, and what a plan promises."""

from datetime import UTC, date, datetime, timedelta

import pytest

from orders.core.errors import NotNow, NotReady, RuleBroken
from orders.core.stages import Stage
from shop.models import Booking, Plan
from shop.services.promising import earliest_honest_date, known_bookings
from tests.builders import (
    a_calendar,
    a_commission,
    a_hand,
    a_station,
    a_workshop,
    an_assembly,
    an_operation,
    an_order,
    extra_work,
)

pytestmark = pytest.mark.django_db
MONDAY = datetime(2026, 1, 5, 7, tzinfo=UTC)


@pytest.fixture
def workshop(settings):
    """One bench and one joiner."""
    settings.PLANNING_SECONDS = 1
    shop = a_workshop()
    week = a_calendar(shop)
    a_station(shop, calendar=week)
    a_hand(shop, calendar=week)
    return shop


def a_day_of_work(workshop, **more):
    """A commission with eight hours at the bench in it."""
    commission = a_commission(workshop, **more)
    extra_work(an_assembly(commission), operation="fit-hardware", minutes=480)
    return commission


def test_an_empty_shop_begins_at_once(workshop):
    found = earliest_honest_date(a_day_of_work(workshop), now=MONDAY)

    assert found.starts_on == date(2026, 1, 5)
    assert found.work_min == pytest.approx(480)
    assert found.planned_on <= found.promised_on <= found.safe_on
    assert found.planned_on <= date(2026, 1, 6)


def test_it_waits_for_what_is_in_work_and_moves_none_of_it(workshop):
    for _ in range(3):
        an_operation(an_order(workshop), each_min=115, setup_min=20)
    alone = earliest_honest_date(a_day_of_work(workshop), now=MONDAY)

    assert alone.starts_on == date(2026, 1, 8)
    assert (alone.waits_for, alone.waits_min > 2 * 24 * 60) == ("bench", True)
    assert not Plan.objects.exists()


def test_timber_that_comes_later_is_waited_for(workshop):
    found = earliest_honest_date(a_day_of_work(workshop), now=MONDAY, not_before=date(2026, 1, 14))

    assert found.starts_on == date(2026, 1, 14)


def test_a_commission_in_work_has_its_date_in_the_plan(workshop):
    with pytest.raises(NotNow, match="in work already"):
        earliest_honest_date(a_day_of_work(workshop, stage=Stage.IN_WORK), now=MONDAY)


def test_a_commission_without_work_is_not_ready(workshop):
    with pytest.raises(NotReady, match="nothing to do"):
        earliest_honest_date(a_commission(workshop), now=MONDAY)


def test_a_day_years_ahead_is_refused(workshop):
    with pytest.raises(RuleBroken, match="within the next year"):
        earliest_honest_date(a_day_of_work(workshop), now=MONDAY, not_before=date(9999, 12, 31))


def test_the_bookings_of_the_plan_in_force_are_known(workshop):
    operation = an_operation(an_order(workshop))
    plan = Plan.objects.create(
        workshop=workshop,
        number=1,
        state=Plan.State.ADOPTED,
        made_at=MONDAY,
        read_at=MONDAY,
        method="x",
    )
    Booking.objects.create(
        plan=plan, operation=operation, starts_at=MONDAY, ends_at=MONDAY + timedelta(hours=1)
    )

    known = known_bookings(workshop)

    assert [booking.start for booking in known.values()] == [MONDAY]
