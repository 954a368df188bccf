"""The estimate of a commission on the screen."""

import html
import re
from decimal import Decimal

import pytest
from django.urls import reverse

from costing.models import Glue, PriceSetting
from costing.services.estimating import estimate_for
from orders.core.times import StationKind
from orders.web.formats import amount
from tests.builders import a_commission, a_hand, a_joint, a_station, an_assembly
from tests.costing.services.test_estimating import TODAY


def text_of(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def links_in(page):
    return [html.unescape(link) for link in re.findall(r'data-unfold="([^"]+)"', page)]


def test_every_figure_of_the_estimate_can_be_opened(signed_in, commission):
    estimate = estimate_for(commission, TODAY)
    browser = signed_in()
    page = browser.get(reverse("estimate", args=[commission.pk])).content.decode()

    links, read = links_in(page), page
    while links:
        within = browser.get(links.pop()).content.decode()
        links += links_in(within)
        read += within

    for top in estimate.lines:
        for line in top.walk():
            assert amount(line.amount, "EUR") in read
    assert f"margin of {estimate.margin * 100:.1f}" in read
    assert "at 40.00 per h" in read
    assert "mm sawn" in read
    assert "g/m2" in read


def test_without_the_script_a_link_opens_the_same_line(signed_in, commission):
    browser = signed_in()
    page = browser.get(reverse("estimate", args=[commission.pk])).content.decode()
    link = html.unescape(re.search(r'<a href="([^"]+open=labour[^"]*)"', page)[1])

    opened = browser.get(link).content.decode()

    assert opened.count("<details open>") == 1
    assert "4 off" not in page
    assert "1.1 Frame" in opened.partition("<details open>")[2]


def test_a_line_that_is_gone_is_not_found(signed_in, commission):
    address = reverse("estimate-lines", args=[commission.pk])

    assert signed_in().get(address, {"key": "labour/gone"}).status_code == 404


def test_a_price_is_tried_and_nothing_is_kept(signed_in, commission):
    sent = {"basis": "hand", "net": "1234.50", "show": "1"}
    page = text_of(signed_in().post(reverse("price-keep", args=[commission.pk]), sent))

    assert "tried and not kept" in page
    assert "1 234.50" in page
    assert not PriceSetting.objects.exists()


def test_the_price_that_is_kept_is_the_one_that_is_quoted(signed_in, commission):
    browser = signed_in("estimator")
    browser.post(reverse("price-keep", args=[commission.pk]), {"basis": "hand", "net": "1234.5"})
    browser.post(reverse("quote-draft", args=[commission.pk]))

    assert commission.quotes.get().net == Decimal("1234.5")


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"basis": "hand", "net": ""}, "Give the net price that is to be offered."),
        ({"basis": "hand", "net": "-3"}, "Give 0 or more."),
        ({"basis": "hand", "net": "1.005"}, "EUR has no coin so small"),
        (
            {"basis": "expected", "profit_basis": "margin", "profit_share": "100"},
            "no price has a margin of 100 %",
        ),
        ({"basis": "p80", "profit_basis": "markup", "profit_share": ""}, "Give the profit"),
    ],
)
def test_a_price_that_cannot_be_is_said_beside_its_field(signed_in, commission, sent, sentence):
    answer = signed_in().post(reverse("price-keep", args=[commission.pk]), sent)

    assert sentence in text_of(answer)
    assert 'aria-invalid="true"' in answer.content.decode()
    assert not PriceSetting.objects.exists()


def test_what_is_missing_is_said_with_the_way_to_it(signed_in, commission, workshop):
    Glue.objects.of(workshop).delete()

    answer = signed_in().get(reverse("estimate", args=[commission.pk]))

    assert answer.status_code == 200
    assert "No glue in the rack is of class D1" in text_of(answer)
    assert f'href="{reverse("rack")}"' in answer.content.decode()


def test_an_empty_commission_says_what_to_do(signed_in, workshop):
    empty = a_commission(workshop)

    text = text_of(signed_in().get(reverse("estimate", args=[empty.pk])))

    assert "There is nothing to price yet" in text


def test_the_panel_has_the_price_and_the_way_to_the_whole(signed_in, commission):
    answer = signed_in().get(reverse("estimate-panel", args=[commission.pk]))

    page = answer.content.decode()
    assert "Net price" in page
    assert "<html" not in page
    assert reverse("estimate", args=[commission.pk]) in page


@pytest.mark.parametrize(("role", "status"), [("estimator", 200), ("foreman", 403), ("hand", 403)])
def test_only_those_who_price_see_it(signed_in, commission, role, status):
    assert signed_in(role).get(reverse("estimate", args=[commission.pk])).status_code == status


def test_queries_do_not_grow_with_the_order(signed_in, commission, django_assert_max_num_queries):
    for _ in range(6):
        a_joint(an_assembly(commission))
    browser = signed_in()

    with django_assert_max_num_queries(32):
        browser.get(reverse("estimate", args=[commission.pk]))


def test_a_title_cannot_bring_markup_in(signed_in, commission):
    assembly = commission.assemblies.first()
    assembly.name = "<script>alert(1)</script>"
    assembly.save()

    page = signed_in().get(reverse("estimate", args=[commission.pk])).content.decode()

    assert "<script>alert" not in page
    assert "&lt;script&gt;" in page


def test_the_plan_is_asked_for_a_date(signed_in, commission, workshop):
    address = reverse("estimate-date", args=[commission.pk])
    browser = signed_in()
    assert "in use" in text_of(browser.get(address))
    for kind in StationKind:
        a_station(workshop, kind=kind)
    a_hand(workshop)

    panel = text_of(browser.get(address, {"panel": "1"}))

    assert "four such orders in five are done by" in panel
    assert "<html" not in panel
