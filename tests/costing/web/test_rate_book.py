"""The rate book on the screen."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from costing.models import RateEdition
from orders.core.times import Skill
from tests.builders import a_workshop, rates_for


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

    assert "a margin of 20.0" in page
    assert "a markup of 25.0" in page


def test_an_edition_stands_beside_the_one_before(signed_in, workshop):
    newer = rates_for(workshop, valid_from=date(2030, 1, 1))

    page = signed_in().get(reverse("rate-edition", args=[newer.pk])).content.decode()

    assert "ed. 1" in page
    assert "to come" in page


def test_an_empty_rate_book_says_what_to_do(signed_in):
    page = signed_in("owner", a_workshop()).get(reverse("rate-book")).content.decode()
    assert "Make the first edition" in page


def test_an_estimator_looks_and_changes_nothing(signed_in):
    browser = signed_in("estimator")
    assert browser.get(reverse("rate-book")).status_code == 200
    assert browser.post(reverse("rate-book-new"), typed()).status_code == 403
