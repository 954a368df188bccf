"""A hand that minds a running machine and does light work beside it: planned, clocked, paid."""

from datetime import UTC, date, datetime, timedelta
from random import Random

import pytest
from django.utils import timezone

from orders.core.errors import NotNow, RuleBroken
from shop.core.minding import Attention
from shop.core.plan.planner import plan as make_plan
from shop.core.spans import length
from shop.models import Clocking, Hand, Plan, Station
from shop.services.chart import chart
from shop.services.clocking import correct, finish, pause, paused_by, running_of, start
from shop.services.days import day_sheet
from shop.services.feeds import feed_of, make_feed, written
from shop.services.keys import task_key
from shop.services.lanes import sheet_of
from shop.services.load import load_of
from shop.services.paid import runs_in, unpaid_in
from shop.services.pins import Wish, consequence, look
from shop.services.problem import problem_for
from shop.services.scenario_planning import _places
from shop.services.stations import areas_of, change_station
from shop.services.workshops import change_workshop, handwork
from tests.builders import a_calendar, a_hand, a_station, a_workshop, an_operation, an_order
from tests.shop.services.test_chart import book
from tests.shop.services.test_planning import planned, violations

pytestmark = pytest.mark.django_db
NINE = datetime(2026, 1, 5, 9, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _quick(settings):
    settings.PLANNING_SECONDS = 1


@pytest.fixture
def shop():
    """One hand, a router in the hall that may be left, and a bench beside it."""
    workshop = a_workshop(allows_minding=True)
    week = a_calendar(workshop)
    hall = {"calendar": week, "area": "hall"}
    a_station(workshop, name="Router", kind="router", may_be_left=True, **hall)
    a_station(workshop, name="Bench", **hall)
    a_hand(workshop, name="Ada", calendar=week)
    return workshop


@pytest.fixture
def ada(shop):
    return Hand.objects.get(name="Ada")


@pytest.fixture
def run(shop):
    """Two hours at the router."""
    return an_operation(
        an_order(shop), code="rout-housing", name="Rout", station_kind="router", skill="machining",
        setup_min=0, each_min=30,
    )  # fmt: skip


@pytest.fixture
def light(shop):
    """Forty minutes of cleaning up."""
    return an_operation(an_order(shop), code="clean-up", name="Clean up", setup_min=0)


def starts(plan):
    return {row.operation.name: row.starts_at for row in plan.bookings.all()}


def test_light_work_is_planned_beside_a_run(shop, run, light):
    plan = planned(shop)
    assert violations(plan) == []
    found = starts(plan)
    assert found["Rout"] == found["Clean up"]


@pytest.mark.parametrize("but", ["off", "elsewhere", "not light", "not left", "not at a bench"])
def test_anything_else_waits_for_the_hand(shop, run, light, but):
    if but == "off":
        change_workshop(shop, allows_minding=False)
    elif but == "not light":
        change_workshop(shop, light_operations=["sand"])
    elif but == "elsewhere":
        change_station(Station.objects.get(name="Bench"), area="yard")
    elif but == "not left":
        change_station(Station.objects.get(name="Router"), may_be_left=False)
    else:
        change_station(Station.objects.get(name="Bench"), kind="glue-up")
        light.station_kind = "glue-up"
        light.save()
    shop.refresh_from_db()
    plan = planned(shop)
    assert violations(plan) == []
    assert len(set(starts(plan).values())) == 2


def test_what_the_planner_is_told(shop, run, light):
    problem = problem_for(shop, timezone.now())
    router, bench, _ = problem.resources
    assert problem.allows_minding
    assert (router.area, router.may_be_left) == ("hall", True)
    assert (bench.area, bench.may_be_left) == ("hall", False)
    assert [task.is_light for task in problem.tasks] == [False, True]


@pytest.mark.parametrize("but", ["", "off", "helped"])
def test_work_under_way_can_be_planned_whatever_was_changed_since(shop, run, light, ada, but):
    at = timezone.now() - timedelta(minutes=5)
    start(run, ada, at=at)
    start(light, ada, at=at + timedelta(minutes=1))
    if but == "off":
        change_workshop(shop, allows_minding=False)
    elif but == "helped":
        ben = a_hand(shop, name="Ben", calendar=ada.calendar)
        start(run, ben, at=at + timedelta(minutes=2))
    shop.refresh_from_db()
    plan = planned(shop)
    assert violations(plan) == []
    assert (len(set(starts(plan).values())) == 1) is not bool(but)


def test_only_a_machine_somewhere_may_be_left(shop):
    bench, router = Station.objects.get(name="Bench"), Station.objects.get(name="Router")
    with pytest.raises(RuleBroken, match="Only a machine") as refused:
        change_station(bench, may_be_left=True)
    assert refused.value.field == "may_be_left"
    with pytest.raises(RuleBroken, match="Say where it stands") as refused:
        change_station(router, area=" ")
    assert refused.value.field == "area"


def test_areas_are_offered_once_each(shop):
    a_station(shop, area="yard", calendar=a_calendar(shop))
    a_station(a_workshop(), area="elsewhere")
    assert areas_of(Station.objects.of(shop)) == ["hall", "yard"]


def test_light_work_is_work_at_the_bench(shop):
    with pytest.raises(RuleBroken, match="“rout-housing” is no work at the bench") as refused:
        change_workshop(shop, light_operations=["sand", "rout-housing"])
    assert refused.value.field == "light_operations"
    assert set(shop.light_operations) <= set(handwork())
    assert handwork()["mark-out"] == "Mark out"


def minutes(count: float) -> timedelta:
    return timedelta(minutes=count)


def running(hand) -> list[str]:
    return [one.operation.name for one in running_of(hand)]


@pytest.mark.parametrize("first", ["run", "light"])
def test_a_run_and_light_work_are_clocked_at_once(run, light, ada, first):
    one, other = (run, light) if first == "run" else (light, run)
    start(one, ada, at=NINE)
    start(other, ada, at=NINE + minutes(10))
    assert running(ada) == ["Clean up", "Rout"]
    assert {row.share.attention for row in Clocking.objects.all()} == {
        Attention.MINDED, Attention.LIGHT,
    }  # fmt: skip


def test_each_is_ended_by_itself(run, light, ada):
    start(run, ada, at=NINE)
    start(light, ada, at=NINE + minutes(10))
    finish(light, ada, at=NINE + minutes(30), pieces=4)
    assert running(ada) == ["Rout"]
    finish(run, ada, at=NINE + minutes(60), pieces=2)
    assert running(ada) == []
    assert run.clockings.get().minutes == 60


def test_a_pause_ends_the_light_work_first(run, light, ada):
    start(run, ada, at=NINE)
    start(light, ada, at=NINE)
    assert pause(ada, at=NINE + minutes(5)).operation == light
    assert pause(ada, at=NINE + minutes(6)).operation == run


def test_light_work_gives_way_to_other_light_work_and_the_run_goes_on(shop, run, light, ada):
    other = an_operation(an_order(shop), code="sand", name="Sand")
    start(run, ada, at=NINE)
    start(light, ada, at=NINE + minutes(5))
    assert paused_by(other, running_of(ada)) == [light.clockings.get()]
    start(other, ada, at=NINE + minutes(10))
    assert running(ada) == ["Sand", "Rout"]


def test_any_other_work_pauses_both(shop, run, light, ada):
    whole = an_operation(an_order(shop), name="Fit")
    start(run, ada, at=NINE)
    start(light, ada, at=NINE + minutes(5))
    assert len(paused_by(whole, running_of(ada))) == 2
    start(whole, ada, at=NINE + minutes(10))
    assert running(ada) == ["Fit"]
    assert {row.ended_at for row in Clocking.objects.filter(hand=ada).exclude(operation=whole)} == {
        NINE + minutes(10)
    }


@pytest.mark.parametrize("but", ["off", "elsewhere", "not light", "not left"])
def test_a_second_start_pauses_the_first_where_they_do_not_go_together(shop, run, light, ada, but):
    if but == "off":
        change_workshop(shop, allows_minding=False)
    elif but == "not light":
        change_workshop(shop, light_operations=[])
    elif but == "elsewhere":
        change_station(Station.objects.get(name="Bench"), area="yard")
    else:
        change_station(Station.objects.get(name="Router"), may_be_left=False)
    start(type(run).objects.get(pk=run.pk), ada, at=NINE)
    start(type(light).objects.get(pk=light.pk), ada, at=NINE + minutes(5))
    assert running(ada) == ["Clean up"]


def test_a_finish_sent_twice_is_one_finish_while_the_run_goes_on(run, light, ada):
    start(run, ada, at=NINE)
    start(light, ada, at=NINE)
    once = finish(light, ada, at=NINE + minutes(9), pieces=4)
    assert finish(light, ada, at=NINE + minutes(9), pieces=4) == once


def test_what_comes_late_may_not_lie_before_what_was_ended_since(shop, run, light, ada):
    start(run, ada, at=NINE)
    start(light, ada, at=NINE + minutes(5))
    finish(light, ada, at=NINE + minutes(10), pieces=1)
    finish(run, ada, at=NINE + minutes(30), pieces=1)
    with pytest.raises(RuleBroken, match="Ada was last clocked at 09:30:00"):
        start(light, ada, at=NINE + minutes(20))


def corrected(row, **changed):
    row.refresh_from_db()
    said = {"started_at": row.started_at, "ended_at": row.ended_at, "pieces": row.pieces, **changed}
    return correct(row, by=None, reason="forgot", at=NINE + minutes(500), **said)


def test_a_correction_may_overlap_only_what_went_with_it(shop, run, light, ada):
    whole = an_operation(an_order(shop), name="Fit")
    rout = start(run, ada, at=NINE)
    clean = start(light, ada, at=NINE + minutes(30))
    start(whole, ada, at=NINE + minutes(60))
    finish(whole, ada, at=NINE + minutes(90), pieces=1)
    change_workshop(shop, allows_minding=False)
    corrected(clean, started_at=NINE + minutes(10))
    corrected(rout, pieces=1)
    for row in (clean, rout):
        with pytest.raises(RuleBroken, match="the two would overlap"):
            corrected(row, ended_at=NINE + minutes(70))


def test_a_hand_does_no_third_thing(shop, run, light, ada):
    a_station(shop, name="Lathe", kind="saw", area="hall", may_be_left=True, calendar=ada.calendar)
    saw = an_operation(an_order(shop), name="Saw", station_kind="saw", skill="machining")
    for number, work in enumerate((run, light, saw)):
        start(work, ada, at=NINE + minutes(number))
    assert running(ada) == ["Clean up", "Saw"]


def test_ending_what_does_not_run_names_what_does(shop, run, light, ada):
    start(run, ada, at=NINE)
    start(light, ada, at=NINE)
    with pytest.raises(NotNow, match=r"is working on “Clean up” .* and “Rout” .*, not on “Fit”"):
        finish(an_operation(an_order(shop), name="Fit"), ada, at=NINE, pieces=0)


def test_a_minute_of_a_hand_is_paid_once(shop, run, light, ada):
    start(run, ada, at=NINE)
    start(light, ada, at=NINE + minutes(20))
    finish(light, ada, at=NINE + minutes(50), pieces=1)
    start(light, ada, at=NINE + minutes(55))
    finish(run, ada, at=NINE + minutes(60), pieces=4)
    rout = run.clockings.get()
    assert unpaid_in(runs_in(Clocking.objects.all())) == {rout.pk: minutes(35)}
    assert unpaid_in(runs_in(light.clockings.all())) == {}


def test_only_the_hands_own_light_work_takes_from_a_run(shop, run, light, ada):
    ben = a_hand(shop, name="Ben", calendar=ada.calendar)
    start(run, ada, at=NINE)
    start(light, ben, at=NINE)
    finish(run, ada, at=NINE + minutes(60), pieces=4)
    assert unpaid_in(runs_in(Clocking.objects.all())) == {}


@pytest.mark.parametrize("seed", range(12))
def test_whatever_is_pressed_a_hand_does_only_what_goes_together_and_is_paid_once(shop, ada, seed):
    random, week = Random(seed), ada.calendar
    for name, area in (("saw", "hall"), ("planer", "yard")):
        a_station(shop, name=name, kind=name, area=area, may_be_left=True, calendar=week)
    a_station(shop, name="press", kind="glue-up", area="hall", calendar=week)
    works = [
        an_operation(an_order(shop), station_kind=kind, code=code, pieces=1000)
        for kind in ("router", "saw", "planer", "bench", "glue-up")
        for code in ("clean-up", "fit")
    ]
    at = NINE
    for _ in range(30):
        at += minutes(random.randint(0, 20))
        doing = running_of(ada)
        if doing and random.random() < 0.4:
            finish(random.choice(doing).operation, ada, at=at, pieces=random.randint(0, 3))
        else:
            known = {one.operation_id for one in doing}
            start(random.choice([work for work in works if work.pk not in known]), ada, at=at)
        doing = running_of(ada)
        assert len(doing) <= 2
        assert len(doing) < 2 or doing[0].share.goes_with(doing[1].share)
    for one in running_of(ada):
        finish(one.operation, ada, at=at + minutes(5), pieces=0)
    rows = list(Clocking.objects.all())
    unpaid = unpaid_in(runs_in(rows))
    paid = sum((row.ended_at - row.started_at for row in rows), timedelta())
    paid -= sum(unpaid.values(), timedelta())
    assert paid == length((row.started_at, row.ended_at) for row in rows)


DAY = date(2026, 1, 5)


@pytest.fixture
def plan(shop, run, light, ada):
    """Routing from 9 to 11, cleaning up beside it from 9 to 9:40, fitting from 11 to 12."""
    plan = Plan.objects.create(
        workshop=shop, number=1, state=Plan.State.ADOPTED, made_at=NINE, read_at=NINE
    )
    fit = an_operation(an_order(shop), name="Fit")
    bench, router = Station.objects.get(name="Bench"), Station.objects.get(name="Router")
    for operation, station, begin, long in (
        (light, bench, 0, 40), (run, router, 0, 120), (fit, bench, 120, 60)
    ):  # fmt: skip
        begins = NINE + minutes(begin)
        book(plan, operation, (begins, begins + minutes(long)), station=station, hand=ada)
    return plan


def test_the_chart_lays_light_work_below_the_run_and_counts_a_minute_once(plan):
    (row,) = chart(plan, DAY, 1, "hand").rows
    assert row.load_min == 180
    sheet = sheet_of(plan, chart(plan, DAY, 1, "hand"), now=NINE - minutes(60), followed=None)
    rout, fit, clean = sheet.chart.rows[0].bars
    assert [bar.work.operation for bar in (rout, fit, clean)] == ["Rout", "Fit", "Clean up"]
    assert rout.y == fit.y < clean.y
    assert clean.work.words.endswith(", Ada, while the Router runs")
    assert not rout.work.meanwhile
    assert sheet.has_minding
    router, bench = chart(plan, DAY, 1, "station").rows
    assert (router.load_min, bench.load_min) == (120, 100)


def test_what_was_clocked_is_drawn_and_counted_alike(plan, run, light, ada):
    start(run, ada, at=NINE)
    start(light, ada, at=NINE + minutes(10))
    finish(light, ada, at=NINE + minutes(30), pieces=4)
    finish(run, ada, at=NINE + minutes(60), pieces=4)
    found = chart(plan, DAY, 1, "hand")
    lane = sheet_of(plan, found, now=NINE + minutes(90), followed=None).lanes[0]
    assert [work.meanwhile for work in lane.works if work.is_done] == ["", "while the Router runs"]
    assert lane.load_min - found.rows[0].load_min == 60


def test_the_day_sheet_says_what_is_done_while_a_machine_runs(plan, ada):
    sheet = day_sheet(ada, DAY)
    assert [(item.bar.name, item.bar.meanwhile) for item in sheet.items] == [
        ("Rout", ""), ("Clean up", "while the Router runs"), ("Fit", ""),
    ]  # fmt: skip
    assert sheet.work_min == 180


def test_the_load_of_a_hand_counts_a_minute_once(plan):
    found = load_of(plan, NINE)
    assert found.hands[0].whole.load_min == 180
    assert [row.whole.load_min for row in found.stations] == [120, 100]


def test_a_feed_says_it_too(plan, ada):
    secret = make_feed(ada, by=None, at=NINE)
    feed = feed_of(secret, at=NINE)
    assert feed
    said = written(feed, at=NINE).decode().replace("\r\n ", "")
    assert said.count("while the Router runs") == 1


def test_where_the_machine_may_be_left_no_more_nothing_is_said(plan, ada):
    change_station(Station.objects.get(name="Router"), may_be_left=False)
    assert not any(item.bar.meanwhile for item in day_sheet(ada, DAY).items)


def test_light_work_is_moved_about_beside_its_run(plan, run, light):
    found = look(light, Wish(starts_at=NINE + minutes(30)), now=NINE - minutes(60))
    would = {booking.task: booking.start for booking in found.would.bookings}
    assert would[task_key(light.pk)] == NINE + minutes(30)
    assert would[task_key(run.pk)] == NINE
    told = consequence(light, Wish(starts_at=NINE + minutes(30)), now=NINE - minutes(60))
    assert len(told.moves) == 0


def test_a_scenario_counts_a_minute_of_a_hand_once(shop, run, light):
    problem = problem_for(shop, timezone.now())
    found = make_plan(problem)
    (place,) = [
        p for p in _places(problem, found.bookings, found.bookings[0].end) if p.name == "Ada"
    ]
    assert place.load_min == 120
