"""The plan in force, fitted at once to what has changed, with the reason for every move."""

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta

import pytest
from django.db.models import F
from django.utils import timezone

from orders.models import Operation
from shop.models import Booking, Hand, Job, Plan, PlanChange, Station
from shop.services import jobs, planning
from shop.services.calendars import close, reopen
from shop.services.keys import row_of, task_key
from shop.services.plan_changes import undo
from shop.services.problem import problem_for
from shop.services.promising import bookings_without, known_bookings
from shop.services.told import MOVE_PRICE, end_of_next_working_day, told_of, with_told
from tests.builders import (
    a_calendar,
    a_hand,
    a_station,
    a_workshop,
    an_operation,
    an_order,
)

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture
def shop(settings):
    """A bench and a saw that hardly ever close, two hands, and a plan for four operations."""
    settings.PLANNING_SECONDS = 1
    workshop = a_workshop()
    week = a_calendar(workshop)
    week.openings.all().delete()
    for weekday in range(7):
        week.openings.create(weekday=weekday, starts=time(0), ends=time(23, 59))
    a_station(workshop, calendar=week, name="Bench A")
    a_station(workshop, calendar=week, name="Saw", kind="saw")
    for name in ("Ines", "Tom"):
        a_hand(workshop, calendar=week, name=name)
    order = an_order(workshop)
    sawn = an_operation(order, station_kind="saw", name="Saw")
    fitted = an_operation(order, after=[sawn], name="Fit")
    an_operation(order, after=[fitted], name="Clean up")
    jobs.run(planning.ask_for_plan(workshop, by=None).pk)
    assert Plan.objects.get().state == Plan.State.ADOPTED
    return workshop


def test_nothing_changes_where_nothing_has_happened(shop):
    plan = planning.repair(shop, by=None)

    assert plan.state == Plan.State.PROPOSED
    assert plan.objective["changes"] == []


def test_a_saw_that_is_down_moves_what_waits_for_it_and_says_so(shop):
    now = timezone.now()
    saw = Station.objects.get(name="Saw")
    close(
        shop,
        starts_at=now - timedelta(minutes=1),
        ends_at=now + timedelta(days=1),
        reason="new blade",
        station=saw,
    )

    plan = planning.repair(shop, by=None)

    told = told_of(plan)
    assert [move.name for move in told.moves] == ["Saw", "Fit", "Clean up"]
    for move in told.moves:
        assert "because Saw is closed until" in move.why
        assert move.why.endswith("(new blade).")


def test_a_plan_promises_every_order_a_day(shop):
    (promise,) = told_of(Plan.objects.get()).promises

    assert promise.chance is None
    assert promise.promised_on >= timezone.now().date()


def test_without_a_plan_in_force_there_is_nothing_to_repair(shop):
    Plan.objects.all().delete()

    assert planning.repair(shop, by=None) is None


def test_what_is_planned_soon_was_told_and_costs_to_move(shop):
    now = timezone.now()
    problem, known = problem_for(shop, now), known_bookings(shop)

    asked = with_told(problem, known, UTC)

    assert asked.move_price == MOVE_PRICE
    for task in asked.tasks:
        assert (task.told is not None) == (known[task.key].start >= now)


def test_told_ends_with_the_next_day_on_which_anybody_works(shop):
    a_friday = datetime(2026, 1, 9, 12, tzinfo=UTC)
    week = a_calendar(shop, name="Office week")
    shop_week = problem_for(shop, a_friday)

    assert end_of_next_working_day(shop_week, UTC) == datetime(2026, 1, 11, tzinfo=UTC)
    Station.objects.update(calendar=week)
    Hand.objects.update(calendar=week)
    office = problem_for(shop, a_friday)
    assert end_of_next_working_day(office, UTC) == datetime(2026, 1, 13, tzinfo=UTC)


def test_a_closing_has_the_plan_mended_at_once_and_then_bettered(
    shop, django_capture_on_commit_callbacks, monkeypatch
):
    made = []
    offer = planning.offer
    monkeypatch.setattr(planning, "offer", lambda *a, **k: made.append(offer(*a, **k)) or made[-1])
    first = Plan.objects.get()
    now = timezone.now()

    with django_capture_on_commit_callbacks(execute=True):
        closure = close(
            shop,
            starts_at=now - timedelta(minutes=1),
            ends_at=now + timedelta(days=1),
            reason="new blade",
            station=Station.objects.get(name="Saw"),
        )

    (mended,) = made
    assert mended.read_at > closure.changed_at
    job = Job.objects.exclude(pk=first.job_id).get()
    assert (job.kind, job.state) == (planning.KIND, Job.State.DONE)
    bettered = Plan.objects.get(state=Plan.State.PROPOSED)
    assert bettered.job == job
    assert bettered.late_min <= mended.late_min
    assert not planning.is_stale(shop)


def test_a_plan_that_is_up_to_date_is_only_bettered(shop, monkeypatch):
    monkeypatch.setattr(planning, "offer", None)

    jobs.run(planning.ask_for_plan(shop, by=None).pk)

    assert Plan.objects.filter(state=Plan.State.PROPOSED).count() == 1


def test_a_shop_without_a_plan_is_not_planned_for_a_closing():
    workshop = a_workshop()
    an_operation(an_order(workshop))
    now = timezone.now()

    close(workshop, starts_at=now, ends_at=now + timedelta(days=1), reason="holiday")

    assert not Job.objects.exists()


def away(shop, name="Saw", days=1):
    """A station is closed from now on."""
    now = timezone.now()
    return close(
        shop,
        starts_at=now - timedelta(minutes=1),
        ends_at=now + timedelta(days=days),
        reason="new blade",
        station=Station.objects.get(name=name),
    )


def test_an_event_is_one_change_of_the_plan_and_is_taken_back_as_one(
    shop, django_capture_on_commit_callbacks
):
    shop.plans_itself = True
    shop.save()
    first = Plan.objects.get()

    with django_capture_on_commit_callbacks(execute=True):
        away(shop)

    now_in_force = Plan.objects.get(state=Plan.State.ADOPTED)
    assert [move.name for move in told_of(now_in_force).moves] == ["Saw", "Fit", "Clean up"]
    change = PlanChange.objects.get()
    assert (change.before, change.after) == (first, now_in_force)
    assert now_in_force.number == first.number + 2
    assert change.said == (
        f"Plan {now_in_force.number} was put in force in place of plan {first.number}"
    )
    undo(change, by=None, at=timezone.now())
    assert Plan.objects.get(state=Plan.State.ADOPTED) == first


def test_what_is_bettered_after_the_mended_plan_was_taken_back_is_a_change_of_its_own(
    shop, django_capture_on_commit_callbacks, monkeypatch
):
    shop.plans_itself = True
    shop.save()
    make_plan, known = planning.make_plan, []

    def and_take_back(problem, **more):
        known.append(more["known"])
        if len(known) == 2:
            undo(PlanChange.objects.get(), by=None, at=timezone.now())
        return make_plan(problem, **more)

    monkeypatch.setattr(planning, "make_plan", and_take_back)
    with django_capture_on_commit_callbacks(execute=True):
        away(shop)

    assert [change.undone_at is None for change in PlanChange.objects.all()] == [True, False]
    assert known[0] != known[1]


def test_planning_begins_anew_where_something_happens_meanwhile(
    shop, django_capture_on_commit_callbacks, monkeypatch
):
    make_plan, asked = planning.make_plan, []

    def and_close(problem, **more):
        asked.append(more["budget"])
        if len(asked) == 1:
            with django_capture_on_commit_callbacks(execute=True):
                away(shop)
        return make_plan(problem, **more)

    monkeypatch.setattr(planning, "make_plan", and_close)
    first = Plan.objects.get()
    jobs.run(planning.ask_for_plan(shop, by=None).pk)

    assert asked == [planning.whole_budget(), planning.REPAIR, planning.whole_budget()]
    assert Job.objects.exclude(pk=first.job_id).count() == 1
    plan = Plan.objects.get(state=Plan.State.PROPOSED)
    assert any("Saw is closed" in change["why"] for change in plan.objective["changes"])
    assert not planning.is_stale(shop)


def test_what_happens_as_planning_ends_has_the_shop_planned_again(
    shop, django_capture_on_commit_callbacks
):
    job = planning.ask_for_plan(shop, by=None)
    with django_capture_on_commit_callbacks() as callbacks:
        away(shop)
    jobs.run(job.pk)

    for call in callbacks:
        call()

    assert Job.objects.unfinished().exists()


def places(plan):
    """Where each operation is."""
    return {b.operation_id: (b.starts_at, b.station_id, b.hand_id) for b in plan.bookings.all()}


def test_the_plan_comes_back_to_what_it_was_when_a_closure_is_taken_away(
    shop, django_capture_on_commit_callbacks
):
    shop.plans_itself = True
    shop.save()
    Booking.objects.update(starts_at=F("starts_at") + HOUR, ends_at=F("ends_at") + HOUR)
    before = places(Plan.objects.get())
    with django_capture_on_commit_callbacks(execute=True):
        closure = away(shop)
    assert places(Plan.objects.get(state=Plan.State.ADOPTED)) != before

    with django_capture_on_commit_callbacks(execute=True):
        reopen(closure)

    assert places(Plan.objects.get(state=Plan.State.ADOPTED)) == before
    assert PlanChange.objects.count() == 2


def test_what_was_moved_since_stays_when_a_closure_is_taken_away(
    shop, django_capture_on_commit_callbacks
):
    shop.plans_itself = True
    shop.save()
    first = Plan.objects.get()
    with django_capture_on_commit_callbacks(execute=True):
        away(shop)
    (change,) = PlanChange.objects.all()
    fit = change.after.bookings.get(operation__name="Fit")
    fit.starts_at, fit.ends_at = fit.starts_at + 9 * HOUR, fit.ends_at + 9 * HOUR

    known = known_bookings(shop)
    known[task_key(fit.operation_id)] = replace(
        known[task_key(fit.operation_id)], start=fit.starts_at, end=fit.ends_at
    )
    start = bookings_without(change, known)

    was = {row.operation.name: row.starts_at for row in first.bookings.all()}
    now = {Operation.objects.get(pk=row_of(key)).name: it.start for key, it in start.items()}
    assert now == {"Saw": was["Saw"], "Fit": fit.starts_at, "Clean up": was["Clean up"]}
