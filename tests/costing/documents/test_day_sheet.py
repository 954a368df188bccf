"""The day sheet on paper, and the day drawn as a line."""

import re
from datetime import UTC, datetime, timedelta

import pytest

from costing.documents.day_line import LEAST_FOR_A_FIGURE, WIDTH, day_line
from costing.documents.day_sheet import day_sheets_pdf
from costing.services.papers import shop_of
from shop.models import Hand
from shop.services.days import day_sheet
from tests.builders import a_hand, a_workshop
from tests.costing.documents.reading import alternatives, pages, words
from tests.costing.documents.samples import ON, a_planned_shop, address, mind_a_router

EIGHT = datetime(2026, 1, 5, 8, tzinfo=UTC)


def hours(start: float, end: float) -> tuple[datetime, datetime]:
    return EIGHT + timedelta(hours=start - 8), EIGHT + timedelta(hours=end - 8)


@pytest.fixture
def plan(db):
    return a_planned_shop(orders=4)


def printed(plan, *hands: Hand) -> bytes:
    return day_sheets_pdf([day_sheet(hand, ON) for hand in hands], shop_of(plan.workshop), address)


def first_hand(plan) -> Hand:
    return Hand.objects.of(plan.workshop).get(name="Ines")


def test_it_tells_when_what_where_and_how_long(plan):
    said = words(printed(plan, first_hand(plan)))
    for text in (
        "Ines",
        "Monday 5 January 2026. 08:00 to 12:00, 13:00 to 17:00.",
        "10:00–11:00",
        "Bench 1",
        "Fit the seat 0",
        "Order 0",
        "late order",
        "Close",
        "Keep both hands behind the cutting edge",
    ):
        assert text in said, text
    assert "Fit the seat 1" not in said
    assert re.search(r"\b4 +45\b", said)  # 5 to set up and 4 pieces of 10


def test_every_piece_of_work_has_a_code(plan):
    booking = plan.bookings.order_by("pk").first()
    said = alternatives(printed(plan, first_hand(plan)))
    assert f"Code that opens the clock page of {booking.operation.mark}" in said


@pytest.mark.django_db
def test_clocks_go_by_the_time_zone_of_the_workshop():
    plan = a_planned_shop(time_zone="Asia/Tokyo")
    assert "19:00–20:00" in words(printed(plan, first_hand(plan)))


def test_a_hand_with_nothing_to_do_is_told_so(plan):
    idle = a_hand(plan.workshop, name="Uma")
    assert "Nothing is planned on this day." in words(printed(plan, idle))


@pytest.mark.django_db
def test_without_a_plan_it_sends_to_the_foreman():
    workshop = a_workshop(time_zone="UTC")
    paper = day_sheets_pdf([day_sheet(a_hand(workshop), ON)], shop_of(workshop), address)
    assert "No plan is in force." in words(paper)


def test_all_hands_are_one_file_a_page_each(plan):
    found = pages(printed(plan, *Hand.objects.of(plan.workshop)))
    assert len(found) == 2
    assert all("1 of 1" in text for text in found)


def test_the_line_runs_from_the_first_whole_hour_to_the_last():
    line = day_line([hours(8, 12), hours(13, 16.5)], [[hours(8.25, 10)]])
    assert [tick.label for tick in line.hours] == [str(hour) for hour in range(8, 18)]
    assert line.hours[0].x == 0
    assert line.hours[-1].x == WIDTH
    assert [block.x for block in line.open] == [0, round(5 * WIDTH / 9, 1)]


def test_work_is_numbered_and_keeps_its_number_after_a_pause():
    line = day_line([hours(8, 16)], [[hours(8, 9)], [hours(9, 12), hours(13, 14)]])
    assert [block.label for block in line.work] == ["1", "2", "2"]
    assert [block.width for block in line.work] == [WIDTH / 8, 3 * WIDTH / 8, WIDTH / 8]


def test_what_is_too_short_for_its_number_has_none():
    line = day_line([hours(8, 16)], [[hours(8, 8.1)]])
    assert line.work[0].width < LEAST_FOR_A_FIGURE
    assert line.work[0].label == ""


def test_an_empty_day_has_no_line():
    assert day_line([], []) is None


def test_what_is_done_while_a_machine_runs_lies_above_the_run():
    line = day_line([hours(8, 16)], [[hours(8, 10)], [hours(8, 9)], [hours(10, 12)]], [2])
    assert [block.label for block in line.work] == ["1", "3"]
    assert [block.label for block in line.above] == ["2"]
    assert line.height > day_line([hours(8, 16)], [[hours(8, 10)]]).height


def test_it_says_what_is_light_work_beside_a_machine(plan):
    mind_a_router(plan)
    said = words(printed(plan, first_hand(plan)))
    assert said.count("Light work, while the Router runs") == 1
