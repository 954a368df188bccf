"""The rate book on the screen."""

import re
from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from costing.models import RateEdition
from orders.core.times import Skill
from tests.builders import a_hand, a_workshop, rates_for


def typed(**more):
    return {
        "valid_from": "2026-01-01",
        "overhead_basis": "labour-hour",
        "overhead_rate": "12.50",
        "materials_handling": "8",
        "contingency": "5",
        "profit_basis": "margin",
        "profit_share": "22",
        "tax_rate": "23",
        "tax_name": "VAT",
        "rounding": "5",
        "note": "",
        **{f"labour_{skill}": "57" for skill in Skill},
        "machine_saw": "14.35",
        **more,
    }


def test_what_is_typed_makes_the_next_edition(signed_in, workshop):
    signed_in().post(reverse("rate-book-new"), typed())

    edition = RateEdition.objects.of(workshop).get(number=2)
    assert (edition.profit_share, edition.materials_handling) == (Decimal("0.22"), Decimal("0.08"))
    assert {rate.skill: rate.per_hour for rate in edition.labour.all()}["joinery"] == 57
    assert [rate.station_kind for rate in edition.machines.all()] == ["saw"]


def test_overhead_on_labour_is_typed_in_per_cent(signed_in, workshop):
    signed_in().post(
        reverse("rate-book-new"), typed(overhead_basis="labour-cost", overhead_rate="150")
    )

    assert RateEdition.objects.of(workshop).get(number=2).overhead_rate == Decimal("1.5")


def test_a_margin_of_everything_is_refused_and_nothing_is_lost(signed_in, workshop):
    answer = signed_in().post(reverse("rate-book-new"), typed(profit_share="100"))

    page = answer.content.decode()
    assert "stays under 100" in page
    assert 'value="14.35"' in page
    assert RateEdition.objects.of(workshop).count() == 1


@pytest.mark.parametrize(
    "wrong", [{"labour_joinery": "-3"}, {"tax_rate": "x"}, {"valid_from": "no day"}]
)
def test_wrong_figures_are_refused(signed_in, workshop, wrong):
    answer = signed_in().post(reverse("rate-book-new"), typed(**wrong))

    assert 'aria-invalid="true"' in answer.content.decode()
    assert RateEdition.objects.of(workshop).count() == 1


def test_the_form_begins_as_the_last_edition(signed_in):
    page = signed_in().get(reverse("rate-book-new")).content.decode()

    assert 'name="labour_joinery" value="40.00"' in page
    assert 'name="profit_share" value="20"' in page


def test_profit_is_shown_both_ways(signed_in):
    page = signed_in().get(reverse("rate-book")).content.decode()

    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page))
    assert "Margin, of the price 20.0 % (asked for)" in text
    assert "Markup, on cost 25.0 % (follows)" in text


def test_an_edition_stands_beside_the_one_before(signed_in, workshop):
    newer = rates_for(workshop, valid_from=date(2030, 1, 1))

    page = signed_in().get(reverse("rate-edition", args=[newer.pk])).content.decode()

    assert "ed. 1" in page
    assert "to come" in page


MORTISER = {
    "mortiser-purchase": "14000",
    "mortiser-residual": "2000",
    "mortiser-life_h": "10000",
    "mortiser-hours_run": "900",
    "mortiser-interest": "400",
    "mortiser-upkeep": "250",
    "mortiser-insurance": "100",
    "mortiser-floor_m2": "10",
    "mortiser-power_kw": "3",
    "mortiser-load": "50",
    "rent_per_m2": "60",
    "tariff_per_kwh": "0.30",
}


def test_a_machine_is_built_up_from_its_parts_and_unfolds_to_them(signed_in, workshop):
    browser = signed_in()
    tried = browser.post(reverse("rate-book-new"), typed(**MORTISER, show="1")).content.decode()
    browser.post(reverse("rate-book-new"), typed(**MORTISER))

    page = browser.get(reverse("rate-book")).content.decode()
    for said in (tried, page):
        assert '<span class="num">3.15</span>' in said
        assert "14000.00 less 2000.00 over 10000 h of life" in said
    again = browser.get(reverse("rate-book-new")).content.decode()
    assert 'name="mortiser-load" value="50"' in again
    assert RateEdition.objects.of(workshop).count() == 2


def test_hands_departments_and_coming_tax_are_kept(signed_in, workshop):
    hand = a_hand(workshop, name="Joss")
    browser = signed_in()
    more = {f"hand_{hand.pk}": "33.5", "overhead_joinery": "9", "overhead_basis": "department"}
    coming = {"tax_from_1": "2027-01-01", "tax_rate_1": "21"}

    browser.post(reverse("rate-book-new"), typed(**more, **coming))

    page = browser.get(reverse("rate-book")).content.decode()
    assert ">Joss</th>" in page
    assert "Overhead of joinery" in page
    assert "VAT from 1 Jan 2027" in page
    assert (
        "Its hands cost 33.50 on average." in browser.get(reverse("rate-book-new")).content.decode()
    )


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (MORTISER | {"mortiser-hours_run": "0"}, "Give the hours it runs in a year, above 0."),
        (MORTISER | {"mortiser-load": "101"}, "Give 100 or less."),
        ({"tax_from_1": "2027-01-01"}, "Give the tax that holds from that day."),
        ({"tax_rate_2": "20"}, "Give the day from which it holds."),
        ({"overhead_joinery": "-1"}, "Give 0 or more."),
    ],
)
def test_what_is_wrong_is_said_beside_its_field(signed_in, workshop, wrong, sentence):
    answer = signed_in().post(reverse("rate-book-new"), typed(**wrong))

    assert sentence in answer.content.decode()
    assert RateEdition.objects.of(workshop).count() == 1


def test_any_two_editions_stand_side_by_side(signed_in, workshop):
    first = RateEdition.objects.of(workshop).get()
    rates_for(workshop, valid_from=date(2021, 1, 1), overhead_rate=Decimal(13))
    third = rates_for(workshop, valid_from=date(2022, 1, 1), overhead_rate=Decimal(15))

    address = reverse("rate-edition", args=[third.pk])
    page = signed_in().get(address, {"beside": first.pk}).content.decode()

    assert "beside edition 1" in page
    assert page.count("changed: ") == 1


def test_queries_do_not_grow_with_the_rates(signed_in, workshop, django_assert_max_num_queries):
    browser = signed_in()
    browser.post(reverse("rate-book-new"), typed(**MORTISER))
    for _ in range(5):
        rates_for(workshop)

    with django_assert_max_num_queries(14):
        browser.get(reverse("rate-book"))


def test_an_empty_rate_book_says_what_to_do(signed_in):
    page = signed_in("owner", a_workshop()).get(reverse("rate-book")).content.decode()
    assert "Make the first edition" in page


def test_an_estimator_looks_and_changes_nothing(signed_in):
    browser = signed_in("estimator")
    assert browser.get(reverse("rate-book")).status_code == 200
    assert browser.post(reverse("rate-book-new"), typed()).status_code == 403
