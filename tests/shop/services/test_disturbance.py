"""What disturbs the plan in force, and that it is mended then and only then."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from orders.models import Operation
from orders.services.commissions import change_commission
from shop.models import Booking, Hand, Job, Plan, Station, Workshop
from shop.services import planning
from shop.services.clocking import correct, finish, pause, start
from shop.services.disturbance import is_disturbed
from tests.builders import a_calendar, a_hand, a_station, a_workshop, an_operation, an_order

pytestmark = pytest.mark.django_db

HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)


@pytest.fixture
def shop():
    """Tom saws for an hour; then Ines fits that and Tom cleans up something else."""
    workshop = a_workshop()
    week = a_calendar(workshop)
    for name, kind in (("Saw", "saw"), ("Bench A", "bench"), ("Bench B", "bench")):
        a_station(workshop, calendar=week, name=name, kind=kind)
    for name in ("Ines", "Tom"):
        a_hand(workshop, calendar=week, name=name)
    sawn = an_operation(an_order(workshop), station_kind="saw", name="Saw", pieces=1)
    an_operation(sawn.commission, after=[sawn], name="Fit")
    an_operation(an_order(workshop), name="Clean up")
    return workshop


def planned(workshop: Workshop, *, ago: timedelta = timedelta()) -> Plan:
    """A plan that was to begin so long ago, read just now."""
    now = timezone.now()
    plan = Plan.objects.create(
        workshop=workshop, number=1, state=Plan.State.ADOPTED, made_at=now, read_at=now
    )
    rows = [
        ("Saw", "Saw", "Tom", 0),
        ("Fit", "Bench A", "Ines", 1),
        ("Clean up", "Bench B", "Tom", 1),
    ]
    for name, station, hand, hours in rows:
        begins = now - ago + hours * HOUR
        Booking.objects.create(
            plan=plan,
            operation=the(name),
            station=Station.objects.get(name=station),
            hand=Hand.objects.get(name=hand),
            starts_at=begins,
            ends_at=begins + HOUR,
            stretches=[[begins.isoformat(), (begins + HOUR).isoformat()]],
        )
    return plan


def the(name: str) -> Operation:
    return Operation.objects.get(name=name)


def begun(name: str = "Saw", by: str = "Tom") -> Operation:
    start(the(name), Hand.objects.get(name=by), at=timezone.now())
    return the(name)


def test_work_that_goes_as_planned_does_not_disturb_the_plan(shop):
    planned(shop)
    begun()

    assert not is_disturbed(shop, timezone.now() + 50 * MINUTE)


def test_work_that_runs_over_a_little_does_not_disturb_it(shop):
    planned(shop)
    begun()

    assert not is_disturbed(shop, timezone.now() + HOUR + 10 * MINUTE)


def test_work_that_runs_over_disturbs_it_where_something_waits(shop):
    plan = planned(shop)
    begun()
    later = timezone.now() + HOUR + 20 * MINUTE

    assert is_disturbed(shop, later)
    plan.bookings.exclude(operation=the("Saw")).update(
        starts_at=later + HOUR, ends_at=later + 2 * HOUR
    )
    assert not is_disturbed(shop, later)


@pytest.mark.parametrize("name", ["Fit", "Clean up"])
def test_what_comes_after_it_waits_and_what_the_hand_does_next(shop, name):
    plan = planned(shop)
    begun()
    later = timezone.now() + HOUR + 20 * MINUTE
    plan.bookings.exclude(operation__in=[the("Saw"), the(name)]).update(
        starts_at=later, ends_at=later + HOUR
    )

    assert is_disturbed(shop, later)


def test_work_that_begins_late_disturbs_what_follows(shop):
    planned(shop, ago=40 * MINUTE)
    begun()

    assert is_disturbed(shop, timezone.now())


def test_work_known_to_run_late_disturbs_nothing_again(shop):
    began = timezone.now()
    begun()
    plan = planned(shop, ago=40 * MINUTE)

    assert plan.read_at > began
    assert not is_disturbed(shop, timezone.now())


def test_work_that_is_over_long_before_its_time_disturbs_it(shop):
    planned(shop)
    begun()
    finish(the("Saw"), Hand.objects.get(name="Tom"), at=timezone.now(), pieces=1)

    assert is_disturbed(shop, timezone.now())


def test_work_that_is_over_a_little_early_does_not(shop):
    planned(shop, ago=50 * MINUTE)
    begun()
    finish(the("Saw"), Hand.objects.get(name="Tom"), at=timezone.now(), pieces=1)

    assert not is_disturbed(shop, timezone.now())


def test_a_pause_does_not_disturb_it(shop):
    planned(shop)
    begun()
    pause(Hand.objects.get(name="Tom"), at=timezone.now())

    assert not is_disturbed(shop, timezone.now())


def test_other_work_than_was_planned_disturbs_it(shop):
    planned(shop, ago=20 * MINUTE)
    begun("Clean up")

    assert is_disturbed(shop, timezone.now())


def test_a_part_to_be_made_again_disturbs_it(shop):
    begun()
    clocking = finish(the("Saw"), Hand.objects.get(name="Tom"), at=timezone.now(), pieces=1)
    planned(shop).bookings.filter(operation=the("Saw")).delete()
    assert not is_disturbed(shop, timezone.now())

    correct(
        clocking,
        by=None,
        reason="split at the end",
        started_at=clocking.started_at,
        ended_at=clocking.ended_at,
        pieces=0,
        at=timezone.now(),
    )

    assert is_disturbed(shop, timezone.now())


@pytest.mark.parametrize(
    "change", [{"timber_on": date(2030, 1, 7)}, {"due_on": date(2030, 1, 7)}, {"weight": 4}]
)
def test_an_order_that_is_hurried_or_waits_for_timber_disturbs_it(shop, change):
    planned(shop)

    change_commission(the("Saw").commission, **change)

    assert is_disturbed(shop, timezone.now())


def test_an_order_that_is_released_disturbs_it(shop):
    planned(shop)

    an_operation(an_order(shop), name="Rush")

    assert is_disturbed(shop, timezone.now())


def test_an_enquiry_does_not_disturb_it(shop):
    planned(shop)

    an_order(shop, stage="enquiry")

    assert not is_disturbed(shop, timezone.now())


def test_a_shop_without_a_plan_has_none_to_disturb(shop):
    assert not is_disturbed(shop, timezone.now())


def test_it_takes_few_queries(shop, django_assert_max_num_queries):
    planned(shop)
    begun()

    with django_assert_max_num_queries(14):
        is_disturbed(shop, timezone.now() + 2 * HOUR)


def test_each_clocking_is_heeded_and_only_one_that_disturbs_has_the_shop_planned(
    shop, settings, django_capture_on_commit_callbacks
):
    settings.PLANNING_SECONDS = 1
    planned(shop)
    with django_capture_on_commit_callbacks(execute=True):
        begun()
    assert not Job.objects.exists()

    with django_capture_on_commit_callbacks(execute=True):
        finish(the("Saw"), Hand.objects.get(name="Tom"), at=timezone.now(), pieces=1)

    assert Job.objects.get().kind == planning.KIND
    assert Plan.objects.get(state=Plan.State.PROPOSED).job == Job.objects.get()


def test_late_timber_is_mended_at_once_with_its_reason(
    shop, settings, django_capture_on_commit_callbacks
):
    settings.PLANNING_SECONDS = 1
    planned(shop)
    on = (timezone.now() + timedelta(days=9)).date()

    with django_capture_on_commit_callbacks(execute=True):
        change_commission(the("Saw").commission, timber_on=on)

    whys = [c["why"] for c in Plan.objects.get(state="proposed").objective["changes"]]
    assert any("cannot begin before" in why for why in whys)


def test_the_sweep_mends_what_runs_over_without_waiting_its_turn(shop, settings):
    settings.REPLAN_SECONDS = 10**6
    planned(shop, ago=HOUR + 20 * MINUTE)
    Job.objects.create(workshop=shop, kind=planning.KIND, state=Job.State.DONE)
    begun()

    assert planning.sweep() == 1
    assert planning.sweep() == 0


def test_the_sweep_does_not_mend_again_what_could_not_be_planned(shop):
    planned(shop, ago=HOUR + 20 * MINUTE)
    begun()
    Job.objects.create(workshop=shop, kind=planning.KIND, state=Job.State.FAILED)

    assert planning.sweep() == 0
