"""The pages of the workshop in a real browser: for a screen reader, on a tablet, without a line."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from shop.core.scenario import Overtime
from shop.models import Booking, Clocking, Pin, Plan, Station
from shop.services.scenarios import add_scenario
from tests.browsing import excess_of, faults_of, window_of
from tests.builders import (
    a_calendar,
    a_hand,
    a_joint,
    a_member,
    a_station,
    a_workshop,
    an_assembly,
    an_operation,
    an_order,
)

TABLET = {"width": 1024, "height": 768}
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def workshop(db):
    return a_workshop(name="Quay joinery")


@pytest.fixture
def nora(workshop):
    person = a_member(workshop, "hand", name="Nora Quill")
    return a_hand(workshop, name="Nora Quill", membership=person.membership)


@pytest.fixture
def operation(workshop, nora):
    """A tenon that is booked for today on a bench that is Nora's."""
    order = an_order(workshop, due_on=timezone.localdate() - timedelta(days=1))
    joint = a_joint(an_assembly(order))
    operation = an_operation(order, joint=joint, name="Cut the tenon", pieces=3)
    now = timezone.now()
    plan = Plan.objects.create(
        workshop=workshop, number=1, made_at=now, read_at=now, method="by rule", state="adopted"
    )
    for place, one in enumerate([operation, an_operation(order, after=[operation])]):
        start = now + timedelta(minutes=30 * place)
        Booking.objects.create(
            plan=plan,
            operation=one,
            station=a_station(workshop),
            hand=nora,
            starts_at=start,
            ends_at=start + timedelta(minutes=30),
            stretches=[[start.isoformat(), (start + timedelta(minutes=30)).isoformat()]],
        )
    return operation


@pytest.fixture
def proposal(workshop, operation, nora):
    """The same work an hour later."""
    now = timezone.now()
    plan = Plan.objects.create(
        workshop=workshop, number=2, made_at=now, read_at=now, method="search"
    )
    start = now + timedelta(minutes=90)
    return Booking.objects.create(
        plan=plan,
        operation=operation,
        hand=nora,
        starts_at=start,
        ends_at=start + timedelta(minutes=30),
    )


@pytest.fixture
def open_as(browser, live_server):
    """A page on which somebody is signed in."""
    windows = []

    def open_window(person, **more):
        windows.append(window_of(browser, live_server, person, reduced_motion="reduce", **more))
        return windows[-1].new_page()

    yield open_window
    for window in windows:
        window.close()


@pytest.fixture
def places(workshop, nora, operation, proposal):
    """Every page of the workshop, with something on it."""
    ended = Clocking.objects.create(
        operation=operation,
        hand=nora,
        started_at=timezone.now() - timedelta(hours=3),
        ended_at=timezone.now() - timedelta(hours=2),
        pieces=1,
    )
    week = a_calendar(workshop)
    scenario = add_scenario(workshop, name="Longer days", changes=[Overtime(minutes=60)])
    return [
        reverse("wall-chart"),
        reverse("wall-chart") + "?by=hand",
        reverse("wall-chart") + "?scale=day",
        reverse("wall-chart") + "?by=order&scale=quarter",
        reverse("plan-changes"),
        reverse("plans"),
        reverse("scenarios"),
        reverse("scenario", args=[scenario.pk]),
        reverse("day-sheets"),
        reverse("hand-day", args=[nora.pk]),
        reverse("time-book"),
        reverse("clocking", args=[ended.pk]),
        reverse("workshop"),
        reverse("station-add"),
        reverse("hand-change", args=[nora.pk]),
        reverse("calendar-change", args=[week.pk]),
        reverse("closure-add"),
        reverse("people"),
        reverse("person-add"),
        reverse("workshop-settings"),
        reverse("account"),
        reverse("bench") + f"?hand={nora.pk}",
        reverse("bench") + "?hand=0",
        reverse("clock", args=[operation.pk]) + f"?hand={nora.pk}",
    ]


@pytest.mark.parametrize("light", ["light", "dark"])
def test_no_page_has_a_fault_that_axe_can_find(open_as, workshop, places, light):
    page = open_as(a_member(workshop))
    page.emulate_media(color_scheme=light)
    for place in places:
        page.goto(place)
        assert faults_of(page) == [], place


@pytest.mark.parametrize("light", ["light", "dark"])
def test_the_door_has_no_fault_either(browser, live_server, light):
    page = browser.new_page(base_url=live_server.url, color_scheme=light)
    for name in ("sign-in", "password-reset", "password-reset-sent"):
        page.goto(reverse(name))
        assert faults_of(page) == [], name
    page.close()


@pytest.mark.parametrize("width", [1280, 1024, 800])
def test_no_page_is_wider_than_its_window(open_as, workshop, places, width):
    page = open_as(a_member(workshop))
    for place in places:
        page.goto(place)
        assert excess_of(page, width) <= 0, place


def test_a_hand_works_by_keyboard_alone(open_as, nora, operation):
    page = open_as(nora.membership.user)
    page.goto(reverse("bench"))
    page.locator("[data-act=start]").focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    page.locator("[name=pieces]").fill("1")
    page.locator("[data-act=pause]").focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")

    clocking = Clocking.objects.get()
    assert (clocking.pieces, clocking.ended_at is not None) == (1, True)


def test_without_script_the_three_buttons_work(open_as, nora, operation):
    page = open_as(nora.membership.user, java_script_enabled=False)
    page.goto(reverse("bench"))
    page.click("[data-act=start]")
    page.click("[data-act=done]")

    operation.refresh_from_db()
    assert operation.state == "done"


def test_what_is_pressed_without_a_line_is_kept_and_sent_later(open_as, nora, operation):
    page = open_as(nora.membership.user)
    page.goto(reverse("bench"))
    page.context.set_offline(True)
    page.click("[data-act=start]")
    page.wait_for_selector("[data-unsent]:not([hidden])")
    page.click("[data-act=done]")
    page.wait_for_function("document.querySelector('[data-unsent] span').textContent[0] === '2'")
    assert not Clocking.objects.exists()

    page.context.set_offline(False)
    with page.expect_navigation():
        page.click("[data-send]")
    page.wait_for_selector("[data-unsent]", state="hidden")

    clocking = Clocking.objects.get()
    assert (clocking.operation, clocking.pieces) == (operation, 3)
    operation.refresh_from_db()
    assert operation.state == "done"


def test_what_is_refused_later_is_said_and_not_lost(open_as, nora, operation):
    page = open_as(nora.membership.user)
    page.goto(reverse("bench"))
    page.context.set_offline(True)
    page.click("[data-act=start]")
    page.wait_for_selector("[data-unsent]:not([hidden])")
    operation.state = "done"
    operation.pieces_done = operation.pieces
    operation.save()

    page.context.set_offline(False)
    page.click("[data-send]")
    page.wait_for_selector("[data-drop]:not([hidden])")

    assert "1 clocking not sent." in page.inner_text("[data-unsent]")
    page.click("[data-drop]")
    page.wait_for_selector("[data-unsent]", state="hidden")


def test_an_operation_is_moved_by_keyboard_and_kept_only_then(open_as, workshop, operation):
    later = timezone.now() + timedelta(days=1)
    Booking.objects.filter(operation=operation).update(starts_at=later, ends_at=later)
    page = open_as(a_member(workshop, "foreman"))
    page.goto(reverse("wall-chart") + "?scale=month")
    bar = page.locator("a.move").first
    bar.focus()
    page.keyboard.press("Space")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    page.wait_for_selector(".comes, [data-consequence] .strong")
    assert faults_of(page) == []
    assert not Pin.objects.exists()

    page.keyboard.press("Escape")

    assert page.evaluate("document.activeElement.matches('a.move')")
    assert "put back" in page.inner_text("[data-tell]")
    assert page.locator("[data-carry]").is_hidden()


def test_an_operation_is_dragged_by_mouse_and_kept(open_as, workshop, operation):
    page = open_as(a_member(workshop, "foreman"))
    page.goto(reverse("wall-chart") + "?scale=month")
    box = page.locator("a.move .bar").first.bounding_box()
    page.mouse.move(box["x"] + 2, box["y"] + 8)
    page.mouse.down()
    page.mouse.move(box["x"] + 90, box["y"] + 8, steps=4)
    page.mouse.up()
    page.wait_for_selector("[data-keep]:not([hidden])")
    with page.expect_navigation():
        page.click("[data-keep]")

    assert Pin.objects.get().starts_at > timezone.now()
    assert "is pinned" in page.inner_text(".messages")


def test_the_bars_of_the_wall_chart_are_reached_by_keyboard(open_as, workshop, operation):
    page = open_as(a_member(workshop, "foreman"))
    page.goto(reverse("wall-chart"))
    bar = page.locator(".chart a").first
    bar.focus()
    assert "Cut the tenon" in (bar.get_attribute("aria-label") or bar.text_content())


def test_a_finger_that_rests_on_a_bar_takes_it_and_one_that_swipes_does_not(
    open_as, workshop, operation
):
    page = open_as(a_member(workshop, "foreman"), has_touch=True, viewport=TABLET)
    touches = page.context.new_cdp_session(page)

    def touch(kind, *points):
        places = [{"x": a, "y": b} for a, b in points]
        touches.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": places})

    def bar():
        page.goto(reverse("wall-chart") + "?scale=month", wait_until="networkidle")
        box = page.locator("a.move .bar").first.bounding_box()
        return box["x"] + 2, box["y"] + 8

    x, y = bar()
    touch("touchStart", (x, y))
    touch("touchMove", (x + 60, y))
    touch("touchEnd")
    assert page.locator("[data-carry]").is_hidden()

    # A busy machine may take a finger that rests for one that scrolls: a person would press again.
    for _ in range(5):
        touch("touchStart", bar())
        page.wait_for_timeout(1000)
        touch("touchEnd")
        if page.locator("[data-carry]").is_visible():
            break
    page.click("[data-by='1']")
    page.click("[data-look]")
    page.wait_for_selector(".comes, [data-consequence] .strong")
    heights = page.locator(".carry-acts button:visible").evaluate_all(
        "all => all.map((one) => one.offsetHeight)"
    )
    assert min(heights) >= 44


@pytest.fixture
def minded(workshop, nora, operation):
    """A run at the router while Nora cuts the tenon beside it."""
    router = a_station(workshop, name="Router", kind="router", area="hall", may_be_left=True)
    beside = Booking.objects.get(operation=operation)
    Station.objects.filter(pk=beside.station_id).update(area="hall")
    return Booking.objects.create(
        plan=beside.plan,
        operation=an_operation(an_order(workshop), name="Rout the groove"),
        station=router,
        hand=nora,
        starts_at=beside.starts_at,
        ends_at=beside.ends_at,
        stretches=beside.stretches,
    )


def test_a_run_and_the_work_beside_it_lie_under_each_other(open_as, workshop, minded):
    page = open_as(a_member(workshop, "owner"))
    page.goto(reverse("wall-chart") + "?by=hand&scale=day")
    run = page.locator("a[aria-label*='Rout the groove'] path.bar").bounding_box()
    beside = page.locator("a[aria-label*='while the Router runs'] path.bar").bounding_box()
    assert run["y"] + run["height"] <= beside["y"]
    assert page.get_by_text("while a machine runs").is_visible()
    assert [excess_of(page, width) for width in (1280, 800)] == [0, 0]
    page.goto(reverse("wall-chart") + "?by=hand&as=rows&scale=day")
    assert page.locator("td", has_text="while the Router runs").first.is_visible()
    assert faults_of(page) == []
