"""Taking back what was changed in the plan: pins, plans, and the order of both."""

from datetime import timedelta

import pytest
from django.utils import timezone

from orders.core.errors import NotNow
from shop.models import Booking, Clocking, Hand, Pin, Plan, PlanChange
from shop.services import moving, plan_changes, planning
from shop.services.pins import Wish
from tests.builders import a_calendar, a_hand, a_station, a_workshop, an_operation, an_order

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    workshop = a_workshop(time_zone="UTC")
    week = a_calendar(workshop)
    a_station(workshop, calendar=week, name="Bench A")
    for name in ("Ines", "Tom"):
        a_hand(workshop, calendar=week, name=name)
    return workshop


@pytest.fixture
def operation(shop):
    return an_operation(an_order(shop), name="Fit the lid")


def a_plan(shop, operation, *, number, state="proposed", ahead=1):
    """A plan that has the operation so many hours ahead."""
    now = timezone.now()
    plan = Plan.objects.create(
        workshop=shop, number=number, state=state, made_at=now, read_at=now, method="by hand"
    )
    start = now + timedelta(hours=ahead)
    Booking.objects.create(
        plan=plan,
        operation=operation,
        hand=Hand.objects.get(name="Ines"),
        starts_at=start,
        ends_at=start + timedelta(hours=1),
    )
    return plan


def undo_last(shop):
    return plan_changes.undo(plan_changes.last_change(shop), by=None, at=timezone.now())


def redo_next(shop):
    return moving.make_again(plan_changes.next_again(shop), by=None, now=timezone.now())


def states(shop):
    return dict(Plan.objects.of(shop).values_list("number", "state"))


def test_an_adopted_plan_is_a_proposal_again(shop, operation):
    a_plan(shop, operation, number=1, state="adopted")
    planning.adopt(a_plan(shop, operation, number=2), by=None)

    change = undo_last(shop)

    assert change.said == "Plan 2 was put in force in place of plan 1"
    assert states(shop) == {1: "adopted", 2: "proposed"}
    assert plan_changes.last_change(shop) is None
    assert PlanChange.objects.get().undone_at is not None


def test_several_changes_are_taken_back_one_after_another(shop, operation):
    a_plan(shop, operation, number=1, state="adopted")
    for number in (2, 3):
        planning.adopt(a_plan(shop, operation, number=number), by=None)
    first = PlanChange.objects.last()

    with pytest.raises(NotNow, match="came after it first"):
        plan_changes.undo(first, by=None, at=timezone.now())
    undo_last(shop)
    undo_last(shop)

    assert states(shop)[1] == "adopted"


def test_a_pin_and_the_plan_round_it_are_one_change(shop, operation):
    shop.plans_itself = True
    shop.save()
    a_plan(shop, operation, number=1, state="adopted")
    tom = Hand.objects.get(name="Tom")
    moving.move(operation, Wish(hand=tom), by=None, now=timezone.now())
    assert (states(shop)[2], Pin.objects.get().hand) == ("adopted", tom)

    change = undo_last(shop)

    assert change.said == f"“Fit the lid” of {operation.commission.mark} was pinned with Tom"
    assert states(shop) == {1: "adopted", 2: "superseded"}
    assert not Pin.objects.exists()


def test_a_pin_that_was_moved_stands_where_it_stood(shop, operation):
    a_plan(shop, operation, number=1, state="adopted")
    tom, ines = (Hand.objects.get(name=name) for name in ("Tom", "Ines"))
    moving.move(operation, Wish(hand=tom), by=None, now=timezone.now())
    moving.move(operation, Wish(hand=ines), by=None, now=timezone.now())

    undo_last(shop)
    assert Pin.objects.get().hand == tom
    moving.give_back(operation, by=None, now=timezone.now())
    undo_last(shop)

    assert Pin.objects.get().hand == tom
    assert not Plan.objects.filter(state="proposed").exists()


def test_what_was_begun_since_is_not_moved_back(shop, operation):
    a_plan(shop, operation, number=1, state="adopted", ahead=5)
    planning.adopt(a_plan(shop, operation, number=2), by=None)
    Clocking.objects.create(
        operation=operation, hand=Hand.objects.get(name="Ines"), started_at=timezone.now()
    )

    with pytest.raises(NotNow, match="“Fit the lid” was begun since"):
        undo_last(shop)

    assert states(shop)[2] == "adopted"


def test_a_plan_that_is_no_longer_kept_cannot_come_back(shop, operation):
    a_plan(shop, operation, number=1, state="adopted")
    planning.adopt(a_plan(shop, operation, number=2), by=None)
    Plan.objects.get(number=1).delete()

    with pytest.raises(NotNow, match="Plan 1 is no longer kept"):
        undo_last(shop)


def test_a_plan_kept_beside_outlives_the_next_proposal_and_is_adopted(shop, operation):
    a_plan(shop, operation, number=1, state="adopted")
    planning.keep(a_plan(shop, operation, number=2))

    planning.repair(shop, by=None)
    assert states(shop)[2] == "kept"
    planning.adopt(Plan.objects.get(number=2), by=None)

    assert states(shop)[2] == "adopted"
    with pytest.raises(NotNow, match="only proposals are kept"):
        planning.keep(Plan.objects.get(number=1))


def test_what_was_taken_back_is_made_again_in_its_order(shop, operation):
    a_plan(shop, operation, number=1, state="adopted")
    for number in (2, 3):
        planning.adopt(a_plan(shop, operation, number=number), by=None)
    undo_last(shop)
    undo_last(shop)
    last = PlanChange.objects.first()

    with pytest.raises(NotNow, match="what was taken back after it comes first"):
        plan_changes.redo(last, by=None, at=timezone.now())
    redo_next(shop)
    assert states(shop)[2] == "adopted"
    redo_next(shop)

    assert states(shop)[3] == "adopted"
    assert plan_changes.next_again(shop) is None
    assert plan_changes.last_change(shop) == last


def test_nothing_is_made_again_after_something_new(shop, operation):
    a_plan(shop, operation, number=1, state="adopted")
    planning.adopt(a_plan(shop, operation, number=2), by=None)
    gone = undo_last(shop)
    planning.adopt(a_plan(shop, operation, number=3), by=None)
    undo_last(shop)

    with pytest.raises(NotNow, match="something else was changed since"):
        plan_changes.redo(gone, by=None, at=timezone.now())

    assert plan_changes.next_again(shop).number_after == 3


def test_a_pin_is_set_again_with_a_plan_round_it(shop, operation):
    a_plan(shop, operation, number=1, state="adopted")
    tom = Hand.objects.get(name="Tom")
    moving.move(operation, Wish(hand=tom), by=None, now=timezone.now())
    undo_last(shop)

    fitted = redo_next(shop)

    assert (fitted.plan.state, Pin.objects.get().hand) == ("proposed", tom)
    assert Booking.objects.get(plan=fitted.plan).hand == tom
    undo_last(shop)
    assert not Pin.objects.exists()


def test_what_was_begun_since_is_not_moved_again(shop, operation):
    a_plan(shop, operation, number=1, state="adopted", ahead=5)
    planning.adopt(a_plan(shop, operation, number=2), by=None)
    undo_last(shop)
    Clocking.objects.create(
        operation=operation, hand=Hand.objects.get(name="Ines"), started_at=timezone.now()
    )

    with pytest.raises(NotNow, match="“Fit the lid” was begun since"):
        redo_next(shop)

    assert states(shop)[1] == "adopted"


def test_a_change_whose_plan_is_gone_is_not_made_again(shop, operation):
    a_plan(shop, operation, number=1, state="adopted")
    planning.adopt(a_plan(shop, operation, number=2), by=None)
    undo_last(shop)
    Plan.objects.get(number=2).delete()

    with pytest.raises(NotNow, match="Plan 2 is no longer kept"):
        redo_next(shop)


def test_a_plan_kept_beside_comes_in_force_with_the_pins_it_was_made_with(shop, operation):
    a_plan(shop, operation, number=1, state="adopted")
    tom, ines = (Hand.objects.get(name=name) for name in ("Tom", "Ines"))
    kept = moving.move(operation, Wish(hand=tom), by=None, now=timezone.now()).plan
    planning.keep(kept)
    moving.move(operation, Wish(hand=ines), by=None, now=timezone.now())

    planning.adopt(kept, by=None)

    assert Pin.objects.get().hand == tom
    assert states(shop)[kept.number] == "adopted"
    assert "proposed" not in states(shop).values()
    undo_last(shop)
    assert Pin.objects.get().hand == ines
    redo_next(shop)
    assert Pin.objects.get().hand == tom
