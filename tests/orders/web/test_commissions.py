"""The list of commissions, a new one, its heading."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from orders.models import Client, Commission
from tests.builders import a_client, a_commission, a_workshop

FIELDS = {"title": "Hall table", "weight": "1", "exposure": "dry-interior"}


def test_an_empty_list_says_what_to_do_next(signed_in):
    page = signed_in().get(reverse("commissions"))
    assert "No commission yet" in page.text
    assert reverse("commission-new") in page.text


def test_the_list_shows_open_commissions_unless_all_are_asked_for(signed_in, workshop):
    a_commission(workshop, title="Open bench")
    a_commission(workshop, title="Old chest", stage="closed")
    browser = signed_in()
    assert "Old chest" not in browser.get(reverse("commissions")).text
    assert "Old chest" in browser.get(reverse("commissions"), {"show": "all"}).text


@pytest.mark.parametrize("sought", ["gate", "Fenwick", "417"])
def test_a_commission_is_found_by_title_client_or_number(signed_in, workshop, sought):
    a_commission(
        workshop, title="Garden gate", number=417, client=a_client(workshop, name="Fenwick")
    )
    a_commission(workshop, title="Ledger desk")
    page = signed_in().get(reverse("commissions"), {"q": sought})
    assert "Garden gate" in page.text
    assert "Ledger desk" not in page.text


def test_a_search_without_result_offers_to_look_among_all(signed_in, workshop):
    a_commission(workshop)
    page = signed_in().get(reverse("commissions"), {"q": "harpsichord"})
    assert "Nothing found" in page.text


def test_lateness_is_said_in_words(signed_in, workshop):
    a_commission(workshop, due_on=timezone.localdate() - timedelta(days=3))
    assert "late 3\u00a0days" in signed_in().get(reverse("commissions")).text


def test_the_list_takes_the_same_queries_however_long(
    signed_in, workshop, django_assert_num_queries
):
    for _ in range(12):
        a_commission(workshop)
    browser = signed_in()
    with django_assert_num_queries(5):
        browser.get(reverse("commissions"))


def test_a_commission_opens_with_a_client_named_on_the_spot(signed_in, workshop):
    answer = signed_in().post(reverse("commission-new"), {**FIELDS, "new_client": "Ida Fenwick"})
    opened = Commission.objects.of(workshop).get()
    assert answer.url == reverse("commission", args=[opened.pk])
    assert opened.client.name == "Ida Fenwick"


def test_a_client_named_again_is_not_added_twice(signed_in, workshop):
    client = a_client(workshop, name="Ida Fenwick")
    signed_in().post(reverse("commission-new"), {**FIELDS, "new_client": "Ida Fenwick"})
    assert Commission.objects.of(workshop).get().client == client


def test_without_a_client_nothing_is_stored_and_the_title_is_kept(signed_in, workshop):
    page = signed_in().post(reverse("commission-new"), FIELDS)
    assert "Choose the client, or name a new one beside." in page.text
    assert 'value="Hall table"' in page.text
    assert not Commission.objects.of(workshop).exists()


def test_a_refused_commission_leaves_no_new_client_behind(signed_in, workshop):
    page = signed_in().post(
        reverse("commission-new"),
        {**FIELDS, "new_client": "Ida", "exposure": "weather-exterior", "glue_class": "D1"},
    )
    assert "This asks for D4 or better" in page.text
    assert 'aria-describedby="id_glue_class_error"' in page.text
    assert not Client.objects.of(workshop).exists()


def test_a_client_of_another_workshop_cannot_be_chosen(signed_in, workshop):
    stranger = a_client(a_workshop())
    page = signed_in().post(reverse("commission-new"), {**FIELDS, "client": stranger.pk})
    assert "Select a valid choice" in page.text
    assert not Commission.objects.of(workshop).exists()


def test_somebody_elses_change_is_noted_and_what_was_typed_is_kept(signed_in, commission):
    address = reverse("commission-change", args=[commission.pk])
    commission.title = "Hall bench"
    commission.save_next()
    typed = {
        **FIELDS,
        "title": "Hall table, oiled",
        "client": commission.client_id,
        "version": "1",
    }
    browser = signed_in()
    page = browser.post(address, typed)
    assert "Somebody changed this while you had it open." in page.text
    assert "Hall bench" in page.text
    assert 'value="Hall table, oiled"' in page.text
    assert browser.post(address, {**typed, "version": "2"}).status_code == 302
    commission.refresh_from_db()
    assert commission.title == "Hall table, oiled"


def test_a_copy_is_made_in_one_press(signed_in, commission, workshop):
    signed_in().post(reverse("commission-duplicate", args=[commission.pk]))
    twin = Commission.objects.of(workshop).exclude(pk=commission.pk).get()
    assert twin.assemblies.get().parts.count() == 2
