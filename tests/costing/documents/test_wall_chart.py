"""The wall chart on paper."""

import re
from datetime import timedelta

import pytest

from costing.documents.wall_chart import fitting, wall_chart_pdf
from costing.services.wall import wall
from orders.models import Commission
from shop.core.wallchart import text_width
from shop.models import Station
from shop.services.calendars import close
from tests.costing.documents.reading import opened, pages, words
from tests.costing.documents.samples import NOW, ON, a_planned_shop, mind_a_router


def printed(plan) -> bytes:
    return wall_chart_pdf(wall(plan, ON, now=NOW))


@pytest.mark.django_db
def test_it_shows_the_week_by_station_and_by_hand():
    paper = printed(a_planned_shop())
    by_station, by_hand = pages(paper)
    assert "By station" in by_station
    assert "Bench 1" in by_station
    assert "By hand" in by_hand
    assert "Ines" in by_hand
    for text in (by_station, by_hand):
        assert re.search(r"Mon 5\s+Tue 6", text)
        assert "7, in force" in text
        assert "5 Jan 2026, 09:30" in text
    for page in opened(paper).pages:
        assert [round(float(side) * 25.4 / 72) for side in page.mediabox][2:] == [420, 297]


@pytest.mark.django_db
def test_the_orders_are_named_in_its_key_and_the_late_as_rows():
    plan = a_planned_shop(orders=3)
    Commission.objects.filter(title="Order 2").update(due_on=ON + timedelta(days=30))
    said = words(printed(plan))
    for commission in Commission.objects.of(plan.workshop):
        assert f"{commission.mark} {commission.title}" in said
    rows = said[said.index("Late work") :]
    assert "Order 0" in rows
    assert "Sun 4 Jan" in rows
    assert "Mon 5 Jan 11:00" in rows
    assert "Order 2" not in rows


@pytest.mark.django_db
def test_light_work_beside_a_machine_is_explained_where_there_is_any():
    plan = a_planned_shop()
    assert "while it runs" not in words(printed(plan))
    mind_a_router(plan)
    by_station, by_hand = pages(printed(plan))
    assert "light work while it runs" in by_hand
    assert "while it runs" not in by_station


@pytest.mark.django_db
def test_when_nothing_is_late_it_says_so():
    plan = a_planned_shop()
    Commission.objects.update(due_on=ON + timedelta(days=30))
    assert "Nothing is late in this plan." in words(printed(plan))


@pytest.mark.django_db
def test_what_is_true_of_it_can_be_read_in_ink_alone():
    said = words(printed(a_planned_shop()))
    for sign in ("ends after it is due", "clocked", "running", "closed", "when this was printed"):
        assert sign in said
    assert re.search(r"\d{4}.*, late", said)


@pytest.mark.django_db
def test_forty_stations_go_on_over_pages_about_equally():
    found = pages(printed(a_planned_shop(stations=40, orders=4)))
    by_station = [text for text in found if "By station" in text]
    shares = [len(re.findall(r"Bench \d+", text)) for text in by_station]
    assert len(by_station) == 3
    assert sum(shares) == 40
    assert shares == [13, 14, 13]
    assert all("continued" in text for text in by_station[1:])


@pytest.mark.django_db
@pytest.mark.parametrize(("station", "is_written"), [("Bench 1", False), ("Bench 2", True)])
def test_why_a_station_is_closed_is_written_where_no_bar_lies(station, is_written):
    plan = a_planned_shop(orders=1)
    close(
        plan.workshop,
        starts_at=NOW,
        ends_at=NOW + timedelta(hours=6),
        reason="new belt",
        station=Station.objects.of(plan.workshop).get(name=station),
    )
    assert ("new belt" in words(printed(plan))) == is_written


@pytest.mark.django_db
def test_a_key_has_an_end_and_says_how_many_it_leaves_out():
    found = pages(printed(a_planned_shop(stations=3, orders=30)))
    assert "6 more by number" in found[0]
    assert len(re.findall(r"\d{4} Order \d", found[0])) == 24


@pytest.mark.django_db
def test_a_drawing_that_is_too_high_is_made_smaller_and_stays_on_its_page():
    found = pages(printed(a_planned_shop(stations=13)))
    assert len(found) == 2
    assert "Bench 13" in found[0]


def test_a_name_is_cut_where_its_room_ends():
    assert fitting("Saw", 100) == "Saw"
    cut = fitting("Band saw and table saw of the long shed", 132, bold=True)
    assert cut.endswith("…")
    assert text_width(cut, bold=True) <= 132
    assert cut.startswith("Band saw")
