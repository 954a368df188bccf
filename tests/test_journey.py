"""The whole journey of a commission in a real browser: from an enquiry to a labour line.

Only the workshop is made beforehand; everything else is done and seen on the screens.
"""

import re
from decimal import Decimal

import pytest
from playwright.sync_api import Page, expect

from costing.models import Board
from orders.core.times import StationKind
from tests.builders import (
    a_calendar,
    a_hand,
    a_member,
    a_shop_that_can_price,
    a_station,
)
from tests.population import NAMED

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

KINDS = [kind for kind in StationKind if kind not in (StationKind.OUTWORK, StationKind.VAN)]


@pytest.fixture
def joinery(settings):
    """A shop with rates, a rack, stations and one hand, and the people who sign in to it."""
    settings.PLANNING_SECONDS = 1
    shop = a_shop_that_can_price(name="Shop of the journey", **NAMED)
    Board.objects.create(
        workshop=shop, species="ash-white", thickness_mm=34, price_per_m3=Decimal(2400)
    )
    calendar = a_calendar(shop)
    for kind in KINDS:
        a_station(shop, kind=kind, name=f"The {kind}", calendar=calendar)
    a_member(shop, "owner", email="owner@journey.test", name="Owner")
    hand = a_member(shop, "hand", email="hand@journey.test", name="Ada Wright")
    a_hand(shop, name="Ada Wright", membership=hand.membership, calendar=calendar)
    return shop


@pytest.fixture
def arrive(browser, live_server):
    """Signs somebody in, in a browser of their own."""
    windows = []

    def as_nobody() -> Page:
        window = browser.new_context(base_url=live_server.url, reduced_motion="reduce")
        windows.append(window)
        page = window.new_page()
        page.set_default_timeout(10_000)
        return page

    def sign_in(email: str) -> Page:
        page = as_nobody()
        page.goto("/")
        fill(page, username=email, password="oak and ash")
        press(page, "Sign in")
        return page

    sign_in.as_nobody = as_nobody
    yield sign_in
    for window in windows:
        window.close()


def fill(page: Page, **fields: str) -> None:
    """Type into fields by their names."""
    for name, value in fields.items():
        field = page.locator(f"[name='{name}']:visible")
        if field.evaluate("field => field.tagName") == "SELECT":
            field.select_option(value)
        else:
            field.fill(value)


def press(page: Page, name: str) -> None:
    """Press a button, and wait for the page that it leads to."""
    with page.expect_navigation():
        page.get_by_role("button", name=name, exact=True).first.click()


def follow(page: Page, name: str) -> None:
    """Follow a link, and wait for the page that it leads to."""
    with page.expect_navigation():
        page.get_by_role("link", name=name, exact=True).first.click()


def test_from_enquiry_to_a_labour_line(joinery, arrive):
    owner = arrive("owner@journey.test")
    take_the_enquiry(owner)
    break_it_down(owner)
    price_it(owner)
    accept_it(arrive.as_nobody(), quote_it(owner))
    invoice_it(owner)
    release_it(owner)
    plan_it(owner)
    clock_it(arrive("hand@journey.test"))
    see_the_labour(owner)


def take_the_enquiry(page: Page) -> None:
    page.goto("/commissions/")
    follow(page, "New commission")
    fill(page, title="Ash side frame", new_client="Ellen Marsh", exposure="dry-interior")
    press(page, "Open commission")
    expect(page.get_by_role("heading", level=1)).to_have_text("Ash side frame")
    expect(page.locator("main")).to_contain_text("Ellen Marsh")


def break_it_down(page: Page) -> None:
    follow(page, "Add assembly")
    fill(page, name="Side frame", quantity="2")
    press(page, "Save and add its parts")
    for name, length, width in (("stile", "900", "60"), ("rail", "500", "80")):
        fill(page, name=name, species="ash-white", thickness_mm="27", width_mm=width)
        fill(page, length_mm=length, quantity="2")
        press(page, "Save and add another" if name == "stile" else "Save")
    follow(page, "joint")
    with page.expect_response(re.compile("joints/add")):
        page.select_option("[name=type]", "mortise-tenon")
    page.select_option("[name=part_a]", index=1)
    page.select_option("[name=part_b]", index=2)
    fill(page, count="4")
    expect(page.locator("#drawing svg.iso")).to_be_visible()
    press(page, "Save")
    expect(page.locator("main")).to_contain_text("Figures compare joints")
    expect(page.locator("main")).to_contain_text("J1, 4 of")


def price_it(page: Page) -> None:
    follow(page, "Price the commission")
    expect(page.get_by_role("heading", name="Net price")).to_be_visible()
    net = page.locator(".makeup .figure").inner_text()
    assert float(re.sub(r"[^\d.]", "", net)) > 100


def quote_it(page: Page) -> str:
    press(page, "Draft a quote")
    mark = page.get_by_role("heading", level=1).inner_text().removeprefix("Quote ")
    assert mark.endswith("-1")
    follow(page, "Arrange it")
    fill(page, **{"options-0-label": "Oil twice", "options-0-net": "45"})
    fill(page, **{"stages-0-label": "On order", "stages-0-percent": "40"})
    fill(page, **{"stages-1-label": "On delivery", "stages-1-percent": "60"})
    press(page, "Keep it")
    press(page, f"Issue quote {mark}")
    address = page.get_by_role("link", name="Open the paper").get_attribute("href")
    assert page.request.get(address).body().startswith(b"%PDF-")
    press(page, "Make a link")
    return page.locator(".secret a").first.get_attribute("href")


def accept_it(page: Page, address: str) -> None:
    page.goto(address)
    before = page.inner_text("#total-below")
    page.get_by_role("checkbox", name="Oil twice").check()
    page.wait_for_function(
        "was => document.getElementById('total-below').innerText !== was", arg=before
    )
    page.get_by_role("button", name="Accept", exact=True).click()
    expect(page.locator("main")).to_contain_text("Write your name.")
    page.locator("#id_answer-name").fill("Ellen Marsh")
    press(page, "Accept")
    expect(page.get_by_role("status")).to_contain_text("Accepted by Ellen Marsh")


def invoice_it(page: Page) -> None:
    page.reload()
    expect(page.locator("main")).to_contain_text("Accepted by Ellen Marsh")
    follow(page, "Invoices")
    press(page, "Issue the invoice")
    expect(page.get_by_role("status")).to_contain_text("is issued")
    expect(page.locator("main")).to_contain_text("On order")
    page.locator(".breadcrumb a").first.click()


def release_it(page: Page) -> None:
    follow(page, "Release to the bench")
    press(page, "Release to the bench")
    expect(page.locator("main")).to_contain_text("In work")


def plan_it(page: Page) -> None:
    page.goto("/wall-chart/")
    press(page, "Plan the work")
    expect(page.locator("main")).to_contain_text("How good is this plan")
    press(page, "Plan again")
    press(page, "Adopt this plan")
    expect(page.locator(".messages")).to_contain_text("is in force")


def clock_it(page: Page) -> None:
    page.goto("/bench/")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Mark out")
    press(page, "Start")
    expect(page.locator(".state").first).to_contain_text("Running since")
    page.fill("#pieces", "3")
    press(page, "Pause")
    expect(page.locator(".clock")).to_contain_text("of 8 done")
    press(page, "Go on")
    press(page, "Done")


def see_the_labour(page: Page) -> None:
    page.goto("/labour/")
    line = page.get_by_role("row").filter(has=page.get_by_role("rowheader", name="Mark out"))
    expect(line.get_by_role("cell").nth(0)).to_have_text("2")
    expect(line.get_by_role("cell").nth(1)).to_have_text("8")
