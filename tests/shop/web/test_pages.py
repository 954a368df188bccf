"""Every page of the workshop: its landmark, and no more queries however much is in the shop."""

from datetime import time, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from shop.models import Clocking
from shop.services.problem import prices_of
from tests.builders import a_calendar, a_hand, a_member, a_station, an_operation
from tests.shop.web.conftest import book

pytestmark = pytest.mark.django_db


def pages_of(floor):
    """Each page with what must stand on it, and the queries it may take."""
    return [
        (reverse("wall-chart"), "Week", 33),
        (reverse("wall-chart") + "?by=hand", "Rowan", 33),
        (reverse("day-sheets"), "Fit the seat", 16),
        (reverse("hand-day", args=[floor.hand.pk]), "Rowan", 18),
        (reverse("time-book"), "Time book", 12),
        (reverse("workshop"), "Stations", 14),
        (reverse("people"), "People", 10),
        (reverse("workshop-settings"), "Currency", 8),
        (reverse("account"), "Tokens", 10),
        (reverse("bench") + f"?hand={floor.hand.pk}", "Fit the seat", 26),
        (reverse("bench") + "?hand=0", "Rowan", 10),
    ]


def fill(floor):
    """A busy shop: more of everything."""
    now = timezone.now().replace(microsecond=0)
    week = a_calendar(floor.workshop)
    for number in range(20):
        station = a_station(floor.workshop, calendar=week)
        hand = a_hand(floor.workshop, calendar=week)
        operation = an_operation(floor.order, name=f"Plane {number}")
        start = now + timedelta(minutes=10 * number)
        book(floor.plan, operation, start, start + timedelta(minutes=10), station, hand)
        begun = now - timedelta(hours=number + 2)
        Clocking.objects.create(
            operation=operation,
            hand=hand,
            started_at=begun,
            ended_at=begun + timedelta(minutes=30),
            pieces=1,
        )
        a_member(floor.workshop, "hand")


@pytest.mark.parametrize("place", range(11))
def test_queries_do_not_grow_with_the_shop(floor, place, django_assert_max_num_queries):
    fill(floor)
    path, landmark, most = pages_of(floor)[place]
    client = floor.as_(floor.owner)
    client.get(path)

    with django_assert_max_num_queries(most):
        page = client.get(path)

    assert page.status_code == 200
    assert landmark.lower() in page.content.decode().lower()


def test_the_time_book_says_what_of_a_minded_run_is_paid(floor, django_assert_max_num_queries):
    start = timezone.now() - timedelta(hours=3)
    rows = [
        Clocking.objects.create(
            operation=operation,
            hand=floor.hand,
            started_at=start,
            ended_at=start + timedelta(minutes=length),
            attention=attention,
            area="hall",
        )
        for operation, length, attention in (
            (floor.first, 120, "minded"),
            (floor.second, 45, "light"),
        )
    ]
    client = floor.as_(floor.owner)
    with django_assert_max_num_queries(13):
        page = client.get(reverse("time-book")).content.decode()
    assert page.count(" paid</small>") == 1
    assert "75 paid" in page
    one, other = (client.get(reverse("clocking", args=[row.pk])).content.decode() for row in rows)
    assert "its hand is paid 75 of its 120 minutes here" in one
    assert "its hand is paid" not in other


def test_a_page_allows_no_script_or_style_of_its_own(floor):
    client = floor.as_(floor.owner)
    for path, _, _ in pages_of(floor):
        page = client.get(path)
        assert "unsafe-inline" not in page["Content-Security-Policy"]
        assert " style=" not in page.content.decode()
        assert "<style" not in page.content.decode()


def test_a_correction_keeps_what_was_said_before(floor):
    start = timezone.now().replace(second=0, microsecond=0) - timedelta(hours=3)
    row = Clocking.objects.create(
        operation=floor.first,
        hand=floor.hand,
        started_at=start,
        ended_at=start + timedelta(hours=2),
        pieces=2,
    )
    client = floor.as_(floor.foreman)
    form = {
        "started_at": f"{start:%Y-%m-%dT%H:%M}",
        "ended_at": f"{start + timedelta(hours=1):%Y-%m-%dT%H:%M}",
        "pieces": "2",
        "version": str(row.version),
    }

    refused = client.post(reverse("correct-clocking", args=[row.pk]), form | {"reason": ""})
    client.post(reverse("correct-clocking", args=[row.pk]), form | {"reason": "went to lunch"})

    assert 'aria-invalid="true"' in refused.content.decode()
    row.refresh_from_db()
    assert row.minutes == 60
    page = client.get(reverse("clocking", args=[row.pk])).content.decode()
    assert "went to lunch" in page


def test_a_week_without_hours_is_refused_while_somebody_follows_it(floor):
    week = floor.bench.calendar
    days = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
    form = {"name": week.name, "version": str(week.version), **dict.fromkeys(days, "")}

    page = floor.as_(floor.owner).post(reverse("calendar-change", args=[week.pk]), form)

    assert page.status_code == 200
    assert week.openings.count() == 10


def test_overtime_is_written_beside_the_week(floor):
    week, client = floor.bench.calendar, floor.as_(floor.owner)
    address = reverse("calendar-change", args=[week.pk])
    form = {"name": week.name, "version": str(week.version), "monday": "8 to 12"}

    refused = client.post(address, form | {"monday_overtime": "11 to 13"})
    assert "overlap those from" in refused.content.decode()
    client.post(address, form | {"monday_overtime": "17:00 to 19:30"})

    assert [str(o) for o in week.openings.filter(is_overtime=True)] == ["Monday 17:00 to 19:30"]
    assert 'value="17:00 to 19:30"' in client.get(address).content.decode()


def test_an_owner_sets_what_the_planner_goes_by(floor):
    client, address = floor.as_(floor.owner), reverse("workshop-settings")
    page = client.get(address).context["form"]
    form = {name: "" if (v := page[name].value()) is None else v for name in page.fields}

    client.post(address, form | {"late_order_price": "8", "plans_itself": ""})

    floor.workshop.refresh_from_db()
    assert (floor.workshop.late_order_price, floor.workshop.overtime_price) == (8, 2)
    assert prices_of(floor.workshop).late_orders == 480


def test_an_owner_allows_minding_and_says_what_is_light(floor):
    client, address = floor.as_(floor.owner), reverse("workshop-settings")
    page = client.get(address)
    assert "Never leave a machine that needs watching" in page.content.decode()
    fields = page.context["form"]
    assert fields["allows_minding"].value() is False
    assert "mark-out" in fields["light_operations"].value()
    form = {name: "" if (v := fields[name].value()) is None else v for name in fields.fields}
    form |= {"plans_itself": "", "allows_minding": "on", "light_operations": ["sand", "dry-fit"]}

    client.post(address, form)

    floor.workshop.refresh_from_db()
    assert floor.workshop.allows_minding
    assert floor.workshop.light_operations == ["sand", "dry-fit"]


def test_an_owner_ticks_the_days_on_which_outwork_goes_out_and_comes_back(floor):
    client, address = floor.as_(floor.owner), reverse("workshop-settings")
    page = client.get(address).context["form"]
    form = {name: "" if (v := page[name].value()) is None else v for name in page.fields}
    form |= {"plans_itself": "", "outwork_leaves_on": ["3"], "outwork_leaves_at": "10:00"}

    closed = client.post(address, form | {"outwork_returns_on": ["6"]})
    faults = closed.context["form"].errors["outwork_returns_on"]
    assert faults == ["The workshop is not open on Sunday; choose when somebody is there."]
    assert closed.context["form"]["outwork_leaves_on"].value() == ["3"]
    client.post(address, form | {"outwork_returns_on": ["1", "4"]})

    floor.workshop.refresh_from_db()
    assert floor.workshop.outwork_leaves_on == [3]
    assert floor.workshop.outwork_leaves_at == time(10)
    assert floor.workshop.outwork_returns_on == [1, 4]
    assert floor.workshop.outwork_returns_at is None


def test_an_owner_puts_measures_one_after_another(floor):
    client, address = floor.as_(floor.owner), reverse("workshop-settings")
    page = client.get(address).context["form"]
    form = {name: "" if (v := page[name].value()) is None else v for name in page.fields}
    form |= {"plans_itself": "", "plans_by": "order", "first_measure": "setup"}

    below = client.post(address, form | {"overtime_price": "-2"}).content.decode()
    assert "Give 0 or more." in below
    assert 'value="-2"' in below
    twice = client.post(address, form | {"second_measure": "setup"}).content.decode()
    assert "“set-ups” comes before; name it once." in twice
    places = {"second_measure": "", "third_measure": "idle", "fourth_measure": ""}
    client.post(address, form | places)

    floor.workshop.refresh_from_db()
    assert floor.workshop.measure_order == ["setup", "idle"]
    assert prices_of(floor.workshop).setup > prices_of(floor.workshop).idle > 0


def test_a_foreman_says_where_a_station_stands_and_whether_it_may_be_left(floor):
    client, address = floor.as_(floor.owner), reverse("station-change", args=[floor.bench.pk])
    page = client.get(address).context["form"]
    form = {name: "" if (v := page[name].value()) is None else v for name in page.fields}
    form |= {"version": floor.bench.version, "kind": "router", "may_be_left": "on"}

    nowhere = client.post(address, form).content.decode()
    assert "Say where it stands; light work is done in the same area." in nowhere
    assert "Never leave a machine that needs watching" in nowhere
    client.post(address, form | {"area": " Machine room "})

    floor.bench.refresh_from_db()
    assert (floor.bench.area, floor.bench.may_be_left) == ("Machine room", True)
    assert '<option value="Machine room">' in client.get(reverse("station-add")).content.decode()


def test_pages_of_another_workshop_are_not_found(floor, elsewhere):
    for name, row in (
        ("hand-day", floor.hand),
        ("station-change", floor.bench),
        ("hand-change", floor.hand),
        ("clock", floor.first),
        ("calendar-change", floor.bench.calendar),
    ):
        assert elsewhere.get(reverse(name, args=[row.pk])).status_code == 404
