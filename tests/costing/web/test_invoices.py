"""Invoices on the screen: the payments in turn, taken back, and who may."""

import pytest
from django.urls import reverse

from costing.models import Invoice
from tests.costing.services.test_invoices import NAMED, accepted


@pytest.fixture
def quote(workshop):
    for name, value in NAMED.items():
        setattr(workshop, name, value)
    workshop.save()
    return accepted(workshop)


def page_of(quote):
    return reverse("invoices", args=[quote.commission_id])


def test_the_next_payment_is_issued_and_can_be_taken_back(signed_in, quote):
    browser = signed_in("estimator")
    assert "Payment 40" in browser.get(page_of(quote)).content.decode()

    browser.post(page_of(quote), {"stage": 1, "days_to_pay": 30})
    first = Invoice.objects.get()
    assert (first.due_on - first.issued_on).days == 30
    assert browser.get(reverse("invoice-pdf", args=[first.pk])).content.startswith(b"%PDF")
    again = browser.post(page_of(quote), {"stage": 1, "days_to_pay": 30})
    assert "Somebody invoiced this payment meanwhile" in again.content.decode()
    browser.post(reverse("invoice-take-back", args=[first.pk]))

    page = browser.get(page_of(quote)).content.decode()
    assert f"credit note for {first.mark}" in page
    assert Invoice.objects.count() == 2


def test_days_that_make_no_sense_are_refused_beside_the_field(signed_in, quote):
    answer = signed_in().post(page_of(quote), {"stage": 1, "days_to_pay": "-3"})

    assert "Give 0 or more." in answer.content.decode()
    assert not Invoice.objects.exists()


def test_what_is_missing_is_said(signed_in, quote, workshop):
    workshop.country = ""
    workshop.save()

    answer = signed_in().post(page_of(quote), {"stage": 1, "days_to_pay": 14})

    assert "An invoice names the workshop&#x27;s country" in answer.content.decode()


def test_an_order_without_an_accepted_quote_says_what_comes_first(signed_in, commission):
    page = signed_in().get(reverse("invoices", args=[commission.pk])).content.decode()

    assert "There is nothing to invoice yet" in page


def test_who_sees_no_prices_sees_no_invoices(signed_in, quote):
    assert signed_in("foreman").get(page_of(quote)).status_code == 403


def test_queries_do_not_grow_with_the_papers(signed_in, quote, django_assert_max_num_queries):
    browser = signed_in()
    for stage in (1, 2, 3):
        browser.post(page_of(quote), {"stage": stage, "days_to_pay": 14})

    with django_assert_max_num_queries(9):
        browser.get(page_of(quote))
