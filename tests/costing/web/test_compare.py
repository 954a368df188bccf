"""Alternatives to a joint on the screen."""

import pytest
from django.urls import reverse

from tests.builders import a_joint


@pytest.fixture
def joint(commission):
    return commission.assemblies.get(name="Frame").joints.get(type="mortise-tenon")


def page_of(browser, joint):
    return browser.get(reverse("joint-compare", args=[joint.pk])).content.decode()


def test_alternatives_stand_side_by_side_with_minutes_cost_and_what_holds(signed_in, joint):
    page = page_of(signed_in(), joint)

    assert "Dowel" in page
    assert "Haunched mortise and tenon" in page
    assert "for all 8 of it" in page
    assert "no design values" in page
    assert page.count("<svg") > 6


def test_a_swap_says_what_becomes_of_the_order(signed_in, joint):
    page = (
        signed_in()
        .post(reverse("joint-swap", args=[joint.pk]), {"to": "dowel"}, follow=True)
        .content.decode()
    )

    joint.refresh_from_db()
    assert joint.type == "dowel"
    assert "1 joint is swapped. The order: €" in page


def test_all_of_the_type_are_swapped_by_one_click(signed_in, commission, joint):
    a_joint(joint.assembly)

    signed_in().post(reverse("joint-swap", args=[joint.pk]), {"to": "dowel", "all": "yes"})

    types = joint.assembly.joints.values_list("type", flat=True)
    assert sorted(types) == ["corner-halving", "dowel", "dowel"]


def test_a_type_that_does_not_fit_is_refused_with_its_reason(signed_in, joint):
    page = (
        signed_in()
        .post(reverse("joint-swap", args=[joint.pk]), {"to": "nonsense"}, follow=True)
        .content.decode()
    )

    assert "There is no joint type" in page
    joint.refresh_from_db()
    assert joint.type == "mortise-tenon"


def test_a_foreman_compares_without_money_and_swaps_nothing(signed_in, joint):
    browser = signed_in("foreman")
    page = page_of(browser, joint)

    assert "€" not in page
    assert "EUR" not in page
    assert "Take it" not in page
    swap = browser.post(reverse("joint-swap", args=[joint.pk]), {"to": "dowel"})
    assert swap.status_code == 403
