"""What-ifs on the screen."""

import re

import pytest
from django.urls import reverse

from costing.services.estimating import estimate_for
from costing.services.what_ifs import add_what_if
from orders.core.supposition import Supposition
from orders.web.formats import amount
from tests.builders import a_commission, a_workshop
from tests.costing.services.test_estimating import TODAY


@pytest.fixture
def place(commission):
    return reverse("what-ifs", args=[commission.pk])


def add(browser, commission, **typed):
    sent = {"name": "Other", **typed}
    return browser.post(reverse("what-if-add", args=[commission.pk]), sent)


def test_an_alternative_is_kept_compared_and_adopted(signed_in, commission, place):
    browser = signed_in("estimator")
    add(browser, commission, joint_was="mortise-tenon", joint_to="dowel", quantity="2")

    said = browser.get(place).content.decode()
    assert "2 times over" in said
    assert "for mortise and tenon" in said
    browser.post(reverse("what-if-adopt", args=[commission.what_ifs.get().pk]))

    assert set(commission.assemblies.get(name="Frame").joints.values_list("type", flat=True)) == {
        "dowel",
        "corner-halving",
    }
    now = amount(estimate_for(commission, TODAY).net, "EUR")
    assert now in browser.get(place).content.decode()
    assert now in said


def test_any_quantity_can_be_asked_for(signed_in, place):
    said = signed_in().get(place, {"quantity": "7"}).content.decode()

    assert re.findall(r'<th scope="row" class="num">(\d+)', said) == ["1", "5", "7", "20"]


@pytest.mark.parametrize("wrong", ["0", "-1", "1001", "x", "9" * 400, "²"])
def test_a_quantity_that_is_none_is_said_beside_its_field(signed_in, place, wrong):
    said = signed_in().get(place, {"quantity": wrong}).content.decode()

    assert "Give a whole number from 1 to 1,000." in said
    assert 'aria-invalid="true"' in said


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({}, "Suppose something"),
        ({"name": "", "quantity": "2"}, "Give call it."),
        ({"species_to": "ash-white"}, "Choose what it takes the place of."),
        ({"joint_was": "mortise-tenon"}, "Choose what takes its place."),
        ({"quantity": "-2"}, "Give 1 or more."),
        ({"quantity": "2", "slope": "30"}, "Give 60 or more."),
    ],
)
def test_what_makes_no_sense_is_said_and_kept(signed_in, commission, typed, sentence):
    said = add(signed_in(), commission, **typed).content.decode()

    assert sentence in said
    assert not commission.what_ifs.exists()


def test_an_alternative_is_removed(signed_in, commission):
    row = add_what_if(commission, name="Two", supposition=Supposition(quantity=2))

    signed_in().post(reverse("what-if-remove", args=[row.pk]))

    assert not commission.what_ifs.exists()


def test_an_empty_commission_says_what_to_do(signed_in, workshop):
    empty = a_commission(workshop)

    said = signed_in().get(reverse("what-ifs", args=[empty.pk])).content.decode()

    assert "There is nothing to price yet" in said


def test_without_rates_the_page_says_so(signed_in):
    elsewhere = a_workshop()
    empty = a_commission(elsewhere)

    said = signed_in("owner", elsewhere).get(reverse("what-ifs", args=[empty.pk]))

    assert "take the starting edition first" in said.content.decode()


def test_queries_do_not_grow_with_the_alternatives(
    signed_in, commission, place, django_assert_max_num_queries
):
    for number in range(2, 8):
        add_what_if(commission, name=str(number), supposition=Supposition(quantity=number))
    browser = signed_in()

    with django_assert_max_num_queries(62):
        browser.get(place)
