"""The demo: an invented shop that the program's own rules find nothing wrong with."""

from contextlib import closing
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection, transaction
from django.test import override_settings
from django.urls import reverse

from costing.management.demo import people
from costing.management.demo.figures import FOLDER, order_file
from costing.management.demo.story import STORY
from costing.models import LabourChange, LabourFit, Quote
from costing.services.estimating import estimate_for
from costing.services.job_costs import job_cost
from costing.services.labour import Asked, labour
from costing.services.order_books import order_books
from orders.core.exposure import Exposure
from orders.core.species import species
from orders.core.stages import Stage
from orders.core.timber import timber_advice
from orders.models import Commission, Operation
from orders.services.breakdown import breakdown
from orders.services.orderfile import export_order
from orders.services.standards import current_times
from shop.core.plan.check import check
from shop.models import Clocking, ClockingCorrection, Hand, Plan, Station, User, Workshop
from shop.services.chart import chart, late_work
from tests.costing.management.story import WEDNESDAY, told_at

OUTSIDE = (Exposure.SHELTERED_EXTERIOR, Exposure.WEATHER_EXTERIOR)
QUICK = "django.contrib.auth.hashers.MD5PasswordHasher"
EXPECTED_CAUTIONS = {
    "A square housing does not hold the shelf against being pulled out.",
    "End grain of the stile is open to the weather at the joint.",
}


@pytest.fixture(scope="module")
def told(django_db_setup, django_db_blocker):
    """The demo, told once for the tests of this module, and the plan that was made in it."""
    with django_db_blocker.unblock(), closing(connection), transaction.atomic():
        with pytest.MonkeyPatch.context() as patch, override_settings(PASSWORD_HASHERS=[QUICK]):
            shop, seen = told_at(WEDNESDAY, patch)
        yield shop, seen
        transaction.set_rollback(True)


@pytest.fixture
def shop(told, db):
    return told[0]


def story_of(shop):
    """The commissions of the story, without those of the months before."""
    newest = list(Commission.objects.of(shop).order_by("-number")[: len(STORY)])
    return newest[::-1]


def test_every_stage_is_to_be_seen(shop):
    stages = Commission.objects.of(shop).values_list("stage", flat=True)
    assert set(stages) == set(Stage)


def test_every_order_file_has_its_chapter():
    files = {path.name.removesuffix(".json") for path in FOLDER.joinpath("commissions").iterdir()}
    assert files == {chapter.file for chapter in STORY}


def test_every_commission_can_be_priced(shop):
    for commission in story_of(shop):
        assert estimate_for(commission, WEDNESDAY.date()).net > 0


def test_an_order_file_comes_back_as_it_went_in(shop):
    for chapter, commission in zip(STORY, story_of(shop), strict=True):
        exported = export_order(commission)
        if chapter.pattern:
            continue
        for given, kept in zip(
            order_file(chapter.file)["assemblies"], exported["assemblies"], strict=True
        ):
            assert [part["name"] for part in given["parts"]] == [p["name"] for p in kept["parts"]]
            assert [joint["type"] for joint in given["joints"]] == [
                joint["type"] for joint in kept["joints"]
            ]


def test_no_joint_has_a_caution_that_a_joiner_would_not_expect(shop):
    found = set()
    for commission in story_of(shop):
        lines = breakdown(commission, current_times(shop))
        for assembly in lines.assemblies:
            woods = {part.mark: species(part.species) for part in assembly.parts}
            for joint in assembly.joints:
                advice = joint.study.advice + timber_advice(
                    joint.study, woods[joint.mark_a], woods[joint.mark_b]
                )
                if lines.exposure in OUTSIDE:
                    advice += joint.study.outdoor_advice
                found |= {one.text for one in advice}
    assert found == EXPECTED_CAUTIONS


def test_the_gate_is_glued_with_class_d4(shop):
    gate = Commission.objects.of(shop).get(title__startswith="Garden gate")
    assert breakdown(gate, current_times(shop)).glue_class == "D4"


def test_every_quote_that_is_out_has_its_paper(shop):
    out = Quote.objects.exclude(state=Quote.State.DRAFT).filter(commission__in=story_of(shop))
    assert out.count() == 9
    assert all(bytes(quote.pdf).startswith(b"%PDF-") for quote in out)


def test_the_checker_accepts_the_plan(told):
    ((problem, schedule),) = told[1]
    assert check(problem, schedule) == ()


def test_one_machine_may_be_left_beside_a_bench(shop):
    assert shop.allows_minding
    router = Station.objects.of(shop).get(may_be_left=True)
    assert router.kind == "router"
    assert Station.objects.of(shop).filter(kind="bench", area=router.area).exists()


def test_the_plan_has_work_behind_it_now_and_ahead(shop):
    plan = Plan.objects.in_force().of(shop).get()
    bookings = plan.bookings
    assert bookings.filter(ends_at__lt=WEDNESDAY).exists()
    assert bookings.filter(starts_at__lte=WEDNESDAY, ends_at__gt=WEDNESDAY).exists()
    assert bookings.filter(starts_at__gt=WEDNESDAY + timedelta(days=2)).exists()
    assert any(row.bars for row in chart(plan, WEDNESDAY.date()).rows)


def test_one_order_is_late(shop):
    (late,) = late_work(Plan.objects.in_force().of(shop).get())
    assert late.title == "Oak hall benches, four"


def test_nine_months_of_orders_came_before_and_each_hand_did_one_thing_at_a_time(shop):
    earlier = Commission.objects.of(shop).exclude(pk__in=[one.pk for one in story_of(shop)])
    assert earlier.count() > 35
    assert set(earlier.values_list("stage", flat=True)) == {Stage.CLOSED}
    assert not Operation.objects.filter(commission__in=earlier).exclude(state="done").exists()
    first = Clocking.objects.of(shop).earliest("started_at").started_at
    assert timedelta(days=260) < WEDNESDAY - first < timedelta(days=280)
    for hand in Hand.objects.of(shop):
        end = first
        for clocking in Clocking.objects.filter(hand=hand).order_by("started_at", "ended_at"):
            assert clocking.started_at >= end
            end = clocking.ended_at or WEDNESDAY


def test_the_night_learned_what_the_invented_hands_do(shop):
    fit = LabourFit.objects.of(shop).get()
    ratios = {(one.joint, one.operation): one.each_ratio for one in fit.cells.all()}
    assert ratios["through-dovetail", "saw-pins"] > 1.1
    assert ratios["haunched-mortise-tenon", "fit"] > 1.05
    assert ratios["dowelled-edge", "glue"] < 0.95
    table = LabourChange.objects.of(shop).filter(operation="cut-tenon")
    assert table.exists()
    assert all(change.factor < 0.75 for change in table)
    assert fit.doubts.exists()


def test_orders_are_charged_near_to_what_was_quoted_and_add_up(shop):
    for order in [*story_of(shop), *Commission.objects.of(shop).order_by("number")[:3]]:
        cost = job_cost(order)
        assert cost.price_part + cost.usage_part == cost.difference
        if order.stage in (Stage.DELIVERED, Stage.CLOSED):
            assert 0.6 < cost.actual_cost / cost.quoted_cost < 1.5, order
    books = order_books(shop, WEDNESDAY.date())
    assert books.ranked[0].per_hour > books.ranked[-1].per_hour
    assert all(one.hours.mean > 0 for one in books.in_work)


def test_the_clockings_are_marked_as_invented_and_spread_over_three_weeks(shop):
    clockings = Clocking.objects.filter(operation__commission__in=story_of(shop))
    assert clockings.count() > 200
    assert not Clocking.objects.of(shop).filter(is_invented=False).exists()
    first, last = clockings.earliest("started_at"), clockings.latest("started_at")
    assert timedelta(days=20) < last.started_at - first.started_at < timedelta(days=22)
    assert set(clockings.values_list("hand", flat=True)) == set(
        Hand.objects.of(shop).values_list("pk", flat=True)
    )


def test_one_clocking_was_corrected_with_a_reason(shop):
    correction = ClockingCorrection.objects.get(clocking__in=Clocking.objects.of(shop))
    assert correction.reason
    assert correction.old_ended_at > correction.clocking.ended_at


def test_labour_shows_what_takes_longer_than_allowed(shop):
    lines = {line.code: line for line in labour(shop, Asked())}
    slow, quick = lines["haunched-mortise-tenon"], lines["dowelled-edge"]
    assert slow.taken_min > slow.standard_min
    assert quick.taken_min < quick.standard_min


def test_everybody_can_sign_in_and_is_told_how(shop, client):
    said = StringIO()
    call_command("demo", stdout=said)
    assert "kept" in said.getvalue()
    for role, email in people.sign_ins():
        assert f"{role}" in said.getvalue()
        answer = client.post(reverse("sign-in"), {"username": email, "password": people.PASSWORD})
        assert answer.status_code == 302, email


def test_a_second_run_keeps_the_data(shop):
    before = Workshop.objects.count(), User.objects.count(), Clocking.objects.count()
    call_command("demo", stdout=StringIO())
    assert (Workshop.objects.count(), User.objects.count(), Clocking.objects.count()) == before
