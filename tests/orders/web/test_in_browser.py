"""The pages of orders in a real browser: by keyboard, without script, for a screen reader."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.urls import reverse

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def frame(commission):
    """The frame of the table."""
    return commission.assemblies.get()


@pytest.fixture
def owner_on(browser, live_server, signed_in):
    """A window of the browser in which the owner is signed in."""
    windows = []

    def open_window(**more):
        key = signed_in().cookies[settings.SESSION_COOKIE_NAME].value
        window = browser.new_context(base_url=live_server.url, **more)
        window.add_cookies(
            [{"name": settings.SESSION_COOKIE_NAME, "value": key, "url": live_server.url}]
        )
        windows.append(window)
        return window

    yield open_window
    for window in windows:
        window.close()


@pytest.fixture
def opened(owner_on):
    """Opens a page as the owner."""
    window = owner_on(reduced_motion="reduce")

    def open_page(name, *args):
        page = window.new_page()
        page.goto(reverse(name, args=args))
        return page

    return open_page


def faults_of(page):
    """What axe-core finds wrong, in a line each."""
    return [
        f"{fault['id']}: {[node['target'] for node in fault['nodes']]}"
        for fault in Axe().run(page).response["violations"]
    ]


@pytest.mark.parametrize("light", ["light", "dark"])
def test_no_page_has_a_fault_that_axe_can_find(opened, commission, frame, light):
    pages = [
        opened("commissions"),
        opened("commission-new"),
        opened("commission", commission.pk),
        opened("commission-move", commission.pk, "quoted"),
        opened("assembly", frame.pk),
        opened("part", frame.parts.first().pk),
        opened("joint", frame.joints.get().pk),
        opened("part-add", frame.pk),
        opened("joint-add", frame.pk),
        opened("extra-add", frame.pk),
        opened("cutting-list-import", frame.pk),
        opened("order-import"),
        opened("pattern-book", commission.pk),
        opened("pattern-add", commission.pk, "table"),
        opened("pattern-keep", frame.pk),
        opened("joint-change", frame.joints.get().pk),
        opened("clients"),
        opened("client", commission.client_id),
        opened("joint-book"),
        opened("joint-type", "mortise-tenon"),
    ]
    for page in pages:
        page.emulate_media(color_scheme=light)
        assert faults_of(page) == [], page.url


@pytest.mark.parametrize("width", [1280, 1024, 800])
def test_no_page_is_wider_than_its_window(opened, commission, frame, width):
    joint = frame.joints.get()
    for name, *args in (
        ("commissions",),
        ("commission", commission.pk),
        ("joint", joint.pk),
        ("joint-change", joint.pk),
        ("joint-type", "dowel"),
        ("pattern-book", commission.pk),
        ("pattern-add", commission.pk, "table"),
        ("pattern-keep", frame.pk),
        ("part-add", frame.pk),
    ):
        page = opened(name, *args)
        page.set_viewport_size({"width": width, "height": 800})
        beyond = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert beyond <= 0, f"{name} is {beyond} px too wide at {width}"


def test_parts_are_typed_one_after_the_other_by_keyboard_alone(opened, frame):
    page = opened("part-add", frame.pk)
    for name, length in (("muntin", "310"), ("panel", "420")):
        page.wait_for_function("document.activeElement.name === 'name'")
        page.keyboard.type(name)
        page.keyboard.press("Tab")
        for size in ("24", "55", length):
            page.keyboard.press("Tab")
            page.keyboard.press("Control+A")
            page.keyboard.type(size)
        with page.expect_navigation():
            page.keyboard.press("Enter")
    assert list(frame.parts.order_by("pk").values_list("mark", "name", "length_mm"))[2:] == [
        ("P3", "muntin", 310),
        ("P4", "panel", 420),
    ]


def test_the_drawing_follows_the_form_and_the_focus_stays(opened, frame):
    page = opened("joint-change", frame.joints.get().pk)
    before = page.inner_html("#drawing")
    field = page.locator("[name='dimensions/tenon_length_mm']")
    field.fill("25")
    page.wait_for_function(
        "before => document.querySelector('#drawing').innerHTML !== before", arg=before
    )
    assert page.evaluate("document.activeElement.name") == "dimensions/tenon_length_mm"
    assert page.locator("[data-show]").is_hidden()


def test_another_type_brings_its_fields_while_typing(opened, frame):
    page = opened("joint-change", frame.joints.get().pk)
    page.select_option("[name=type]", "dowel")
    page.wait_for_selector("[name='dimensions/dowel_count']")


def test_without_script_the_drawing_is_shown_by_a_button(owner_on, frame):
    page = owner_on(java_script_enabled=False).new_page()
    page.goto(reverse("joint-add", args=[frame.pk]))
    page.select_option("[name=type]", "dowel")
    page.select_option("[name=part_b]", index=2)
    with page.expect_navigation():
        page.get_by_role("button", name="Show", exact=True).click()
    assert page.locator("[name='dimensions/dowel_count']").count() == 1
    assert page.locator("#drawing svg.iso").count() == 1


def test_a_table_with_two_drawers_is_typed_by_keyboard(opened, commission):
    page = opened("pattern-add", commission.pk, "table")
    page.wait_for_function("document.activeElement.name === 'length_mm'")
    page.keyboard.press("Control+A")
    page.keyboard.type("1200")
    page.locator("[name=apron_width_mm]").fill("130")
    page.locator("[name=drawers]").fill("2")
    with page.expect_navigation():
        page.keyboard.press("Enter")

    table = commission.assemblies.get(name="Table")
    assert commission.assemblies.get(parent=table).quantity == 2
    assert "Table is added" in page.content()
