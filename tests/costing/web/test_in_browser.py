"""The pages of costing in a real browser."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from costing.core.arrangement import Arrangement, AskedOption
from costing.services.invoices import issue_invoice
from costing.services.quote_links import ask, make_link
from costing.services.quotes import arrange, draft_quote, issue
from shop.models import Clocking
from tests.browsing import excess_of, faults_of, window_of
from tests.builders import (
    a_commission,
    a_hand,
    a_joint,
    a_member,
    an_assembly,
    an_operation,
    an_order,
)
from tests.costing.services.test_invoices import NAMED, THREE, accepted, nothing, plain_paper

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def places(workshop, commission):
    """Every page of costing, with something on it."""
    quote = draft_quote(commission, by=None, on=timezone.localdate())
    for name, value in NAMED.items():
        setattr(workshop, name, value)
    workshop.save()
    option = AskedOption(label="Drawer", net=Decimal(120))
    agreed = accepted(workshop, options=(option,))
    issue_invoice(agreed, by=None, at=timezone.now(), paper=nothing)
    out = out_of(a_commission(workshop), option)
    link, secret = make_link(out, by=None, at=timezone.now())
    ask(link, name="Ada", text="Is it oak?", at=timezone.now())
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
        reverse("what-ifs", args=[commission.pk]),
        reverse("extra-cost-add", args=[commission.pk]),
        reverse("quotes", args=[commission.pk]),
        quote.get_absolute_url(),
        reverse("quote-arrange", args=[quote.pk]),
        out.get_absolute_url(),
        reverse("invoices", args=[agreed.commission_id]),
        reverse("client-offer", args=[secret]),
        reverse("client-offer", args=["nothing"]),
        reverse("rack"),
        reverse("rack-add", args=["glues"]),
        reverse("rate-book"),
        reverse("rate-book-new"),
        reverse("labour"),
        reverse("labour-behind") + "?joint=mortise-tenon&operation=chop",
        reverse("labour-judge"),
        reverse("hand-effects"),
        reverse("proposals"),
        reverse("honesty"),
        reverse("job-cost", args=[order.pk]),
        reverse("order-books"),
        reverse("charging-for"),
        reverse("joint-compare", args=[joint.pk]),
        reverse("commission", args=[commission.pk]),
    ]


def out_of(commission, option):
    """A quote that is out, with an option."""
    a_joint(an_assembly(commission))
    today = timezone.localdate()
    draft = draft_quote(commission, by=None, on=today)
    said = Arrangement(options=(option,), stages=THREE)
    draft = arrange(draft, said, valid_until=draft.valid_until, terms="", on=today)
    return issue(draft, by=None, at=timezone.now(), paper=plain_paper)


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
    page.wait_for_selector(".unfold details details")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('details details') !== null")


def test_a_price_is_reckoned_as_one_types_and_lines_stay_open(page, places):
    page.goto(places[0])
    page.locator(".unfold summary").first.click()
    page.wait_for_selector(".unfold details details")
    page.get_by_label("set by hand").check()
    page.fill("[name=net]", "4321.5")
    page.wait_for_selector(".figure:has-text('321.50')")
    assert page.locator(".unfold details[open]").count() == 1


def test_the_price_comes_into_the_margin_of_the_commission(page, commission, places):
    page.goto(places[-1])
    page.wait_for_selector(".makeup .figure")
    assert "Net price" in page.inner_text(".panel")


def test_ticking_an_option_shows_its_total_at_once(page, places):
    page.goto(next(place for place in places if place.startswith("/offer/")))
    before = page.inner_text("#total-below")
    page.check("input[name=take]")
    page.wait_for_function(
        "was => document.getElementById('total-below').innerText !== was", arg=before
    )
    assert page.inner_text("#total .client-total td.num") == page.inner_text("#total-below")
