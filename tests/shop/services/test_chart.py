"""The wall chart, the day sheet and the bench, from a plan laid by hand."""

from datetime import UTC, date, datetime, timedelta

import pytest

from orders.models import Operation
from shop.models import Booking, Plan
from shop.services.bench import bench
from shop.services.calendars import close
from shop.services.chart import chart, late_work
from shop.services.clocking import finish, pause, start
from shop.services.days import day_sheet
from tests.builders import (
    a_calendar,
    a_hand,
    a_joint,
    a_part,
    a_station,
    a_workshop,
    an_assembly,
    an_operation,
    an_order,
)

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 1, 5)


def at(hour: float, day: int = 0) -> datetime:
    """So many hours into a day of that week (Dublin keeps UTC in January)."""
    return datetime(2026, 1, 5, tzinfo=UTC) + timedelta(days=day, hours=hour)


@pytest.fixture
def workshop():
    return a_workshop(time_zone="Europe/Dublin")


@pytest.fixture
def week(workshop):
    return a_calendar(workshop)


@pytest.fixture
def ines(workshop, week):
    return a_hand(workshop, name="Ines", calendar=week)


@pytest.fixture
def wide_bench(workshop, week):
    return a_station(workshop, name="Bench A", calendar=week)


@pytest.fixture
def plan(workshop):
    return Plan.objects.create(
        workshop=workshop, number=1, state=Plan.State.ADOPTED, made_at=at(7), read_at=at(7)
    )


def book(plan, operation, *stretches, station=None, hand=None):
    """A booking over stretches, each a pair of instants."""
    return Booking.objects.create(
        plan=plan,
        operation=operation,
        station=station,
        hand=hand,
        starts_at=stretches[0][0],
        ends_at=stretches[-1][1],
        stretches=[[a.isoformat(), b.isoformat()] for a, b in stretches],
    )


def test_a_bar_stands_on_its_station_with_its_stretches(workshop, plan, wide_bench, ines):
    operation = an_operation(an_order(workshop))
    spans = ((at(10), at(12)), (at(13), at(14)))
    book(plan, operation, *spans, station=wide_bench, hand=ines)
    row = chart(plan, MONDAY, 5).rows[0]
    bar = row.bars[0]
    assert (row.name, bar.mark, bar.hand, bar.stretches) == (
        "Bench A",
        operation.mark,
        "Ines",
        spans,
    )
    assert row.load_min == 180
    assert row.open_min == 5 * 8 * 60


def test_the_same_bar_stands_on_its_hand_and_on_each_helper(workshop, plan, wide_bench, ines, week):
    tom = a_hand(workshop, name="Tom", calendar=week)
    booking = book(plan, an_operation(an_order(workshop)), (at(8), at(9)), hand=ines)
    booking.helpers.add(tom)
    drawn = chart(plan, MONDAY, 1, by="hand")
    assert [(row.name, len(row.bars)) for row in drawn.rows] == [("Ines", 1), ("Tom", 1)]
    assert drawn.rows[0].bars[0].helpers == ("Tom",)


def test_work_without_a_station_is_unplaced(workshop, plan, wide_bench):
    book(plan, an_operation(an_order(workshop)), (at(8), at(9)))
    drawn = chart(plan, MONDAY, 1)
    assert len(drawn.unplaced) == 1
    assert drawn.rows[0].bars == ()


def test_only_the_days_asked_for_are_counted(workshop, plan, wide_bench):
    operation = an_operation(an_order(workshop))
    book(plan, operation, (at(16), at(17)), (at(8, 1), at(9, 1)), station=wide_bench)
    assert chart(plan, MONDAY, 1).rows[0].load_min == 60
    assert chart(plan, MONDAY + timedelta(1), 1).rows[0].load_min == 60
    assert chart(plan, MONDAY + timedelta(2), 1).rows[0].bars == ()


def test_an_order_is_late_after_the_end_of_the_day_it_is_due(workshop, plan, wide_bench):
    on_time = an_order(workshop, due_on=MONDAY)
    late = an_order(workshop, due_on=MONDAY, title="Gate")
    book(plan, an_operation(on_time), (at(16), at(17)), station=wide_bench)
    book(plan, an_operation(late), (at(8, 1), at(9, 1)), station=wide_bench)
    (found,) = late_work(plan)
    assert (found.title, found.late_min) == ("Gate", 9 * 60)
    bars = chart(plan, MONDAY, 5).rows[0].bars
    assert [bar.is_late for bar in bars] == [False, True]


def test_a_day_ends_at_midnight_by_the_clock_of_the_workshop(plan, wide_bench, workshop):
    workshop.time_zone = "America/New_York"
    workshop.save()
    plan.refresh_from_db()
    order = an_order(workshop, due_on=MONDAY)
    book(plan, an_operation(order), (at(2, 1), at(4.5, 1)), station=wide_bench)
    assert late_work(plan) == ()


def test_closures_stand_on_the_rows_they_close(workshop, plan, wide_bench, week):
    saw = a_station(workshop, name="Saw", kind="saw", calendar=week)
    close(workshop, station=saw, starts_at=at(9), ends_at=at(11), reason="New blade")
    close(workshop, starts_at=at(0, 1), ends_at=at(24, 1), reason="Holiday")
    bench_row, saw_row = chart(plan, MONDAY, 5).rows
    assert [closure.reason for closure in bench_row.closures] == ["Holiday"]
    assert [closure.reason for closure in saw_row.closures] == ["New blade", "Holiday"]
    assert bench_row.open_min == 4 * 8 * 60
    assert saw_row.open_min == 4 * 8 * 60 - 120


def test_the_chart_takes_few_queries(
    workshop, plan, wide_bench, ines, django_assert_max_num_queries
):
    for number in range(6):
        operation = an_operation(an_order(workshop, due_on=MONDAY))
        book(plan, operation, (at(8, number), at(9, number)), station=wide_bench, hand=ines)
    with django_assert_max_num_queries(10):
        chart(plan, MONDAY, 7)


class TestDaySheet:
    """One hand's day."""

    def test_work_stands_in_order_with_hours_and_breaks(self, workshop, plan, ines):
        order = an_order(workshop)
        second, first = an_operation(order), an_operation(order)
        book(plan, second, (at(13), at(14)), hand=ines)
        book(plan, first, (at(8), at(9)), hand=ines)
        sheet = day_sheet(ines, MONDAY)
        assert [item.bar.operation_id for item in sheet.items] == [first.pk, second.pk]
        assert sheet.breaks == ((at(12), at(13)),)
        assert (sheet.work_min, sheet.open_min, sheet.plan_number) == (120, 480, 1)

    def test_work_over_two_days_is_cut_at_midnight(self, workshop, plan, ines):
        spans = (at(16), at(17)), (at(8, 1), at(10, 1))
        book(plan, an_operation(an_order(workshop)), *spans, hand=ines)
        (today,) = day_sheet(ines, MONDAY).items
        (tomorrow,) = day_sheet(ines, MONDAY + timedelta(1)).items
        assert (today.stretches, today.goes_on, today.comes_on) == ((spans[0],), True, False)
        assert (tomorrow.stretches, tomorrow.comes_on) == ((spans[1],), True)

    def test_a_joint_asks_for_its_two_parts(self, workshop, plan, ines):
        order = an_order(workshop)
        frame = an_assembly(order, quantity=3)
        stile = a_part(frame, name="stile", quantity=2)
        rail = a_part(frame, name="rail", quantity=2)
        a_part(frame, name="panel")
        joint = a_joint(frame, part_a=stile, part_b=rail)
        operation = an_operation(order, assembly=frame, joint=joint)
        book(plan, operation, (at(8), at(9)), hand=ines)
        (item,) = day_sheet(ines, MONDAY).items
        assert [(part.name, part.pieces) for part in item.fetch] == [("stile", 6), ("rail", 6)]

    def test_other_work_asks_for_the_whole_assembly(self, workshop, plan, ines):
        order = an_order(workshop)
        frame = an_assembly(order)
        a_part(frame, name="top")
        a_part(frame, name="leg", quantity=4)
        book(plan, an_operation(order, assembly=frame), (at(8), at(9)), hand=ines)
        (item,) = day_sheet(ines, MONDAY).items
        assert [part.name for part in item.fetch] == ["top", "leg"]

    def test_leave_is_said_and_leaves_no_hours(self, workshop, plan, ines):
        close(workshop, hand=ines, starts_at=at(0), ends_at=at(24), reason="Leave")
        sheet = day_sheet(ines, MONDAY)
        assert (sheet.closed, sheet.hours, sheet.items) == (("Leave",), (), ())

    def test_without_a_plan_there_are_only_hours(self, workshop, ines):
        sheet = day_sheet(ines, MONDAY)
        assert (sheet.plan_number, sheet.items, sheet.open_min) == (None, (), 480)


class TestBench:
    """What a hand sees at the bench."""

    def test_running_work_shows_minutes_used_and_left(self, workshop, ines):
        operation = an_operation(an_order(workshop))
        start(operation, ines, at=at(9))
        view = bench(ines, at(9.5))
        assert view.running.work.operation == operation
        assert (view.running.stretch_min, view.running.work.used_min) == (30, 30)
        assert view.running.work.standard_min == 45
        assert view.running.work.rest_min == 15
        assert view.next == ()

    def test_paused_work_comes_before_what_is_next(self, workshop, ines):
        order = an_order(workshop)
        begun, fresh = an_operation(order), an_operation(order)
        start(begun, ines, at=at(9))
        pause(ines, at=at(9.5), pieces=1)
        view = bench(ines, at(10))
        assert view.running is None
        assert [(work.operation, work.pieces_left) for work in view.paused] == [(begun, 3)]
        assert [work.operation for work in view.next] == [fresh]

    def test_next_follows_the_plan_and_says_what_it_waits_for(
        self, workshop, plan, ines, wide_bench
    ):
        order = an_order(workshop)
        cut = an_operation(order, name="Cut tenons")
        glue = an_operation(order, name="Glue up", after=[cut])
        book(plan, glue, (at(13), at(14)), hand=ines, station=wide_bench)
        book(plan, cut, (at(8), at(9)), hand=ines, station=wide_bench)
        first, second = bench(ines, at(8)).next
        assert (first.operation, first.may_start, first.station) == (cut, True, "Bench A")
        assert second.waits == (f"“Cut tenons” ({cut.mark}) must be done first",)
        assert second.planned_start == at(13)

    def test_done_work_leaves_the_bench(self, workshop, plan, ines):
        operation = an_operation(an_order(workshop), pieces=1)
        book(plan, operation, (at(8), at(9)), hand=ines)
        start(operation, ines, at=at(8))
        finish(operation, ines, at=at(8.5), pieces=1)
        view = bench(ines, at(9))
        assert (view.running, view.paused, view.next) == (None, (), ())

    def test_without_a_plan_ready_work_of_ones_skill_is_offered(self, workshop, week):
        order = an_order(workshop)
        mine = an_operation(order, skill="finishing")
        an_operation(order, skill="joinery")
        an_operation(order, skill="finishing", after=[mine])
        uma = a_hand(workshop, calendar=week, skills={"finishing": 2})
        assert [work.operation for work in bench(uma, at(8)).next] == [mine]

    def test_the_others_on_the_same_work_are_named(self, workshop, ines, week):
        tom = a_hand(workshop, name="Tom", calendar=week)
        operation = an_operation(an_order(workshop))
        start(operation, ines, at=at(9))
        start(operation, tom, at=at(9))
        assert bench(ines, at(9.5)).running.others == ("Tom",)

    def test_it_takes_few_queries(self, workshop, plan, ines, django_assert_max_num_queries):
        order = an_order(workshop)
        first = an_operation(order)
        for number in range(8):
            operation = an_operation(order, after=[first])
            book(plan, operation, (at(8, number), at(9, number)), hand=ines)
        start(first, ines, at=at(8))
        with django_assert_max_num_queries(12):
            bench(ines, at(9))


def test_states_of_bars_are_those_of_the_work(workshop, plan, wide_bench, ines):
    order = an_order(workshop)
    done = an_operation(order, state=Operation.State.DONE, pieces_done=4)
    book(plan, done, (at(8), at(9)), station=wide_bench)
    assert chart(plan, MONDAY, 1).rows[0].bars[0].state == "done"
