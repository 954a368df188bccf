"""Pins: the consequence before it is kept, the plan round them, and taking them out."""

from datetime import time, timedelta

import pytest
from django.utils import timezone

from orders.core.errors import NotNow, RuleBroken
from shop.models import Booking, Hand, Pin, Plan
from shop.services import jobs, moving, planning
from shop.services.clocking import start
from shop.services.pins import Wish, consequence, keep_pin, take_out
from tests.builders import a_calendar, a_hand, a_station, a_workshop, an_operation, an_order

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(settings):
    """One bench that never closes for long, two joiners, two orders and their plan."""
    settings.PLANNING_SECONDS = 1
    workshop = a_workshop(time_zone="UTC")
    week = a_calendar(workshop)
    week.openings.all().delete()
    for weekday in range(7):
        week.openings.create(weekday=weekday, starts=time(0), ends=time(23, 59))
    a_station(workshop, calendar=week, name="Bench A")
    for name in ("Ines", "Tom"):
        a_hand(workshop, calendar=week, name=name)
    return workshop


@pytest.fixture
def operations(shop):
    found = [an_operation(an_order(shop, title=title), name=title) for title in ("Door", "Lid")]
    jobs.run(planning.ask_for_plan(shop, by=None).pk)
    return found


def tomorrow():
    return (timezone.now() + timedelta(days=1)).replace(hour=9, minute=0, second=0, microsecond=0)


def test_the_consequence_is_told_and_nothing_is_kept(operations):
    wish = Wish(starts_at=tomorrow(), hand=Hand.objects.get(name="Tom"))

    found = consequence(operations[0], wish, now=timezone.now())

    assert (found.starts_at, found.hands, found.station) == (tomorrow(), "Tom", "Bench A")
    assert found.before.late_orders == found.after.late_orders == ()
    assert found.after.ends_at > found.before.ends_at
    assert not Pin.objects.exists()


def test_a_pin_that_is_kept_holds_in_every_plan_after_it(shop, operations):
    keep_pin(operations[0], Wish(starts_at=tomorrow()), by=None, now=timezone.now())

    repaired = planning.repair(shop, by=None)
    jobs.run(planning.ask_for_plan(shop, by=None).pk)

    for plan in (repaired, Plan.objects.order_by("number").last()):
        place = plan.bookings.filter(operation=operations[0]).first()
        assert place is None or place.starts_at == tomorrow()
    assert (
        Plan.objects.order_by("number").last().bookings.get(operation=operations[0]).starts_at
        == tomorrow()
    )


def test_taking_a_pin_out_makes_the_plan_stale(shop, operations):
    keep_pin(operations[0], Wish(starts_at=tomorrow()), by=None, now=timezone.now())
    planning.repair(shop, by=None)
    assert not planning.is_stale(shop)

    take_out(operations[0])

    assert planning.is_stale(shop)
    assert not Pin.objects.exists()


def test_two_pins_on_one_bench_at_once_are_refused_with_a_sentence(operations):
    keep_pin(operations[0], Wish(starts_at=tomorrow()), by=None, now=timezone.now())

    with pytest.raises(RuleBroken, match="taken then by other pinned work") as refused:
        keep_pin(operations[1], Wish(starts_at=tomorrow()), by=None, now=timezone.now())

    assert refused.value.field == "starts_at"
    assert Pin.objects.count() == 1


@pytest.mark.parametrize("ahead", [timedelta(days=-1), timedelta(minutes=-5)])
def test_a_time_that_has_passed_is_refused(operations, ahead):
    now = timezone.now()
    with pytest.raises(RuleBroken, match="still to come"):
        consequence(operations[0], Wish(starts_at=now + ahead), now=now)


def test_a_wish_of_nothing_is_refused(operations):
    with pytest.raises(RuleBroken, match="Choose a station"):
        consequence(operations[0], Wish(), now=timezone.now())


def test_what_is_at_work_is_not_moved(operations):
    start(operations[0], Hand.objects.get(name="Tom"), at=timezone.now())
    with pytest.raises(NotNow, match="at work or done"):
        consequence(operations[0], Wish(starts_at=tomorrow()), now=timezone.now())


def test_a_pin_on_a_hand_who_left_holds_no_more(shop, operations):
    tom = Hand.objects.get(name="Tom")
    keep_pin(operations[0], Wish(hand=tom), by=None, now=timezone.now())
    Hand.objects.filter(pk=tom.pk).update(is_in_use=False)

    plan = planning.repair(shop, by=None)

    assert plan.bookings.get(operation=operations[0]).hand.name == "Ines"


def test_what_need_not_move_stays_and_the_plan_looked_at_is_the_one_that_is_kept(shop, operations):
    now = timezone.now()
    wish = Wish(starts_at=tomorrow())
    found = consequence(operations[1], wish, now=now)

    plan = moving.move(operations[1], wish, by=None, now=now).plan

    assert (found.moves, found.places) == ((), ())
    places = dict(plan.bookings.values_list("operation", "starts_at"))
    standing = Plan.objects.in_force().get().bookings.get(operation=operations[0])
    assert places == {operations[0].pk: standing.starts_at, operations[1].pk: found.starts_at}
    assert not planning.is_stale(shop)


def test_a_pin_goes_on_from_the_proposal_if_there_is_one(shop, operations):
    far, tom = timezone.now() + timedelta(days=10), Hand.objects.get(name="Tom")
    Booking.objects.update(starts_at=far, ends_at=far + timedelta(hours=1))
    first = moving.move(operations[0], Wish(hand=tom), by=None, now=timezone.now()).plan
    assert first.bookings.get(operation=operations[0]).hand == tom
    take_out(operations[0])

    second = moving.move(operations[1], Wish(starts_at=tomorrow()), by=None, now=timezone.now())

    assert second.plan.bookings.get(operation=operations[0]).hand == tom


def test_what_a_pin_moved_goes_back_when_it_is_taken_out(shop, operations):
    shop.plans_itself = True
    shop.save()
    later = timezone.now() + timedelta(hours=6)
    Booking.objects.update(starts_at=later, ends_at=later + timedelta(hours=1))
    moving.move(operations[0], Wish(starts_at=tomorrow()), by=None, now=timezone.now())
    assert (
        Plan.objects.in_force().get().bookings.get(operation=operations[0]).starts_at == tomorrow()
    )

    moving.give_back(operations[0], by=None, now=timezone.now())

    back = Plan.objects.in_force().get().bookings.get(operation=operations[0]).starts_at
    assert abs(back - later) <= timedelta(minutes=15)
