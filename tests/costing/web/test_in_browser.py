"""The pages of costing in a real browser."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from costing.services.quotes import draft_quote
from shop.models import Clocking
from tests.browsing import excess_of, faults_of, window_of
from tests.builders import a_hand, a_joint, a_member, an_assembly, an_operation, an_order

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def places(workshop, commission):
    """Every page of costing, with something on it."""
    quote = draft_quote(commission, by=None, on=timezone.localdate())
    order = an_order(workshop)
    joint = a_joint(an_assembly(order))
    hand = a_hand(workshop)
    for number in range(3):
        operation = an_operation(order, joint=joint, code="chop", name="Chop mortises, J1")
        Clocking.objects.create(
            operation=operation,
            hand=hand,
            started_at=timezone.now() - timedelta(hours=number + 2),
            ended_at=timezone.now() - timedelta(hours=number + 1),
            pieces=4,
        )
    return [
        reverse("estimate", args=[commission.pk]),
        reverse("quotes", args=[commission.pk]),
        quote.get_absolute_url(),
        reverse("rack"),
        reverse("rack-add", args=["glues"]),
        reverse("rate-book"),
        reverse("rate-book-new"),
        reverse("labour"),
        reverse("labour-behind") + "?joint=mortise-tenon&operation=chop",
        reverse("labour-judge"),
        reverse("hand-effects"),
        reverse("joint-compare", args=[joint.pk]),
        reverse("commission", args=[commission.pk]),
    ]


@pytest.fixture
def page(browser, live_server, workshop):
    window = window_of(browser, live_server, a_member(workshop), reduced_motion="reduce")
    yield window.new_page()
    window.close()


@pytest.mark.parametrize("light", ["light", "dark"])
def test_no_page_has_a_fault_that_axe_can_find(page, places, light):
    page.emulate_media(color_scheme=light)
    for place in places:
        page.goto(place)
        page.wait_for_load_state("networkidle")
        assert faults_of(page) == [], place


@pytest.mark.parametrize("width", [1280, 1024, 800])
def test_no_page_is_wider_than_its_window(page, places, width):
    for place in places:
        page.goto(place)
        assert excess_of(page, width) <= 0, place


def test_a_price_unfolds_by_keyboard(page, places):
    page.goto(places[0])
    first = page.locator(".unfold summary").first
    first.focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('details details') !== null")


def test_the_price_comes_into_the_margin_of_the_commission(page, commission, places):
    page.goto(places[-1])
    page.wait_for_selector(".makeup .figure")
    assert "Net price" in page.inner_text(".panel")
