"""Proposed standards and their editions on the screen."""

import pytest
from django.urls import reverse
from django.utils import timezone

from costing.models import LearnedCell, RefusedProposal
from costing.web.standards import driver_words
from orders.models import StandardEdition
from tests.builders import a_hand, a_workshop
from tests.costing.services.clocking_rows import learn_now, slow_orders

TODAY = str(timezone.localdate())


@pytest.fixture
def cell(workshop):
    """One that is proposed."""
    slow_orders(workshop, a_hand(workshop))
    learn_now(workshop)
    return LearnedCell.objects.get()


def page_of(browser, name="proposals", *args):
    return browser.get(reverse(name, args=args)).content.decode()


def test_old_and_new_stand_side_by_side_with_their_worth(signed_in, cell):
    page = page_of(signed_in())
    assert "per cm³ removed" in page
    assert f"{cell.each_ratio:.2f}" in page
    assert "this year's margin, EUR" in page
    foreman = page_of(signed_in("foreman"))
    assert "EUR" not in foreman
    assert "Adopt" not in foreman


def test_one_is_adopted_by_ticking_it_or_all_at_once(signed_in, cell):
    browser = signed_in()
    sent = {"cell": cell.pk, "valid_from": TODAY, "note": "Autumn", "do": "adopt"}
    page = browser.post(reverse("proposals"), sent, follow=True).content.decode()
    assert "Edition 2 is made" in page
    edition = StandardEdition.objects.get(number=2)
    assert "Chop the mortise" in page_of(browser, "standard-edition", edition.pk)

    first = StandardEdition.objects.get(number=1)
    browser.post(reverse("standards-back", args=[first.pk]), {"valid_from": TODAY})
    assert StandardEdition.objects.get(number=3).note == "As edition 1 again"


def test_all_are_adopted_together(signed_in, cell):
    signed_in().post(reverse("proposals"), {"valid_from": TODAY, "do": "all"})
    assert StandardEdition.objects.filter(number=2).exists()


def test_one_is_left_as_it_is(signed_in, cell):
    sent = {"cell": cell.pk, "valid_from": TODAY, "note": "We know", "do": "refuse"}
    page = signed_in().post(reverse("proposals"), sent, follow=True).content.decode()
    assert RefusedProposal.objects.get().note == "We know"
    assert "Nothing is proposed" in page
    assert "We know" in page


def test_nothing_ticked_is_told_and_what_was_typed_is_kept(signed_in, cell):
    sent = {"valid_from": TODAY, "note": "Autumn", "do": "adopt"}
    page = signed_in().post(reverse("proposals"), sent).content.decode()
    assert "Tick at least one proposal." in page
    assert 'value="Autumn"' in page


def test_a_day_before_the_latest_edition_is_refused_beside_its_field(signed_in, cell):
    sent = {"cell": cell.pk, "valid_from": "1999-01-01", "do": "adopt"}
    page = signed_in().post(reverse("proposals"), sent).content.decode()
    assert "choose that day or a later one" in page
    assert f'value="{cell.pk}" id="cell-{cell.pk}" checked' in page


def test_only_the_owner_adopts(signed_in, cell):
    sent = {"cell": cell.pk, "valid_from": TODAY, "do": "adopt"}
    signed_in("foreman").post(reverse("proposals"), sent)
    assert not StandardEdition.objects.filter(number=2).exists()
    first = StandardEdition.objects.get(number=1)
    back = reverse("standards-back", args=[first.pk])
    assert signed_in("estimator").post(back).status_code == 403
    assert signed_in("owner", a_workshop()).get(back.removesuffix("back/")).status_code == 404


@pytest.mark.parametrize(
    ("driver", "words"),
    [
        ("a.removed_cm3", "cm³ removed"),
        ("line_m", "m of line"),
        ("parts", "part"),
        ("holes", "hole"),
    ],
)
def test_drivers_are_told_in_words(driver, words):
    assert driver_words(driver) == words
