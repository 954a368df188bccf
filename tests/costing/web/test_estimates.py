"""The estimate of a commission on the screen."""

import re

import pytest
from django.urls import reverse

from costing.models import Glue
from costing.services.estimating import estimate_for
from orders.web.formats import amount
from tests.builders import a_commission, a_joint, an_assembly
from tests.costing.services.test_estimating import TODAY


def text_of(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def test_every_figure_of_the_estimate_stands_on_the_page(signed_in, commission):
    estimate = estimate_for(commission, TODAY)

    text = text_of(signed_in().get(reverse("estimate", args=[commission.pk])))

    for top in estimate.lines:
        for line in top.walk():
            assert amount(line.amount, "EUR") in text
    assert f"margin of {estimate.margin * 100:.1f}" in text


def test_lines_unfold_down_to_minutes_and_boards(signed_in, commission):
    page = signed_in().get(reverse("estimate", args=[commission.pk])).content.decode()

    assert page.count("<details>") > 8
    assert "at 40.00 per h" in page
    assert "mm sawn" in page
    assert "g/m2" in page


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

    with django_assert_max_num_queries(22):
        browser.get(reverse("estimate", args=[commission.pk]))


def test_a_title_cannot_bring_markup_in(signed_in, commission):
    assembly = commission.assemblies.first()
    assembly.name = "<script>alert(1)</script>"
    assembly.save()

    page = signed_in().get(reverse("estimate", args=[commission.pk])).content.decode()

    assert "<script>alert" not in page
    assert "&lt;script&gt;" in page
