"""The client's page: what a link opens, what can be done through it, and what cannot."""

import re
from datetime import datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from costing import tasks
from costing.core.arrangement import Arrangement, AskedOption
from costing.models import Quote, QuoteLink, QuoteQuestion
from costing.services.quotations import agreed_of
from costing.services.quote_links import MOST_OPEN_QUESTIONS, make_link
from costing.services.quotes import arrange, draft_quote, expire, issue
from orders.core.language import Language
from orders.core.stages import Stage
from tests.costing.services.test_invoices import plain_paper


@pytest.fixture
def quote(commission):
    return out(commission)


def out(commission, language=None):
    today = timezone.localdate()
    draft = draft_quote(commission, by=None, on=today)
    options = (
        AskedOption(label="Drawer", net=Decimal(120)),
        AskedOption(label="Second coat", net=Decimal(40)),
    )
    arrangement = Arrangement(options=options, language=language)
    draft = arrange(draft, arrangement, valid_until=draft.valid_until, terms="", on=today)
    return issue(draft, by=None, at=timezone.now(), paper=plain_paper)


@pytest.fixture
def door(quote):
    return door_to(quote)


def door_to(quote):
    _, secret = make_link(quote, by=None, at=timezone.now())
    return reverse("client-offer", args=[secret])


@pytest.fixture
def client():
    """A browser that is signed in nowhere."""
    return Client()


def test_the_link_opens_the_quote_and_nothing_else(client, door, quote):
    page = client.get(door)

    assert page.status_code == 200
    assert page["X-Robots-Tag"].startswith("noindex")
    assert "no-store" in page["Cache-Control"]
    text = page.content.decode()
    assert "Drawer" in text
    assert "0417-1" in text
    links = set(re.findall(r'href="(/[^"#]*)"', text))
    assert {link for link in links if not link.startswith("/static/")} == {f"{door}quotation.pdf"}
    assert client.get(f"{door}quotation.pdf").content == bytes(quote.pdf)
    assert QuoteLink.objects.get().seen_at is not None


def test_ticking_an_option_shows_its_total_and_changes_nothing(client, door, quote):
    page = client.get(door, {"take": ["option-1", "option-9"]}).content.decode()

    assert "Total with what is ticked" in page
    quote.refresh_from_db()
    assert quote.state == Quote.State.ISSUED


def test_accepting_makes_the_order_and_keeps_what_was_agreed(client, door, quote, commission):
    client.post(door, {"act": "accept", "answer-name": " Ada  Byrne ", "take": ["option-2"]})

    quote.refresh_from_db()
    commission.refresh_from_db()
    assert (quote.state, quote.decided_by) == (Quote.State.ACCEPTED, "Ada Byrne")
    assert commission.stage == Stage.ACCEPTED
    agreed = agreed_of(quote)
    assert [one.key for one in agreed.options if one.is_taken] == ["option-2"]
    assert agreed.net == quote.net + 40
    assert commission.moves.last().note.endswith("accepted by Ada Byrne, with Second coat")
    assert "Thank you. Accepted by Ada Byrne" in client.get(door).content.decode()
    again = client.post(door, {"act": "accept", "answer-name": "Bob"}).content.decode()
    assert "This was answered meanwhile" in again
    quote.refresh_from_db()
    assert quote.decided_by == "Ada Byrne"


def test_declining_is_written_down(client, door, quote):
    client.post(door, {"act": "decline", "answer-name": "Ada"})

    quote.refresh_from_db()
    assert quote.state == Quote.State.DECLINED
    assert "Declined by Ada" in client.get(door).content.decode()


def test_a_name_is_needed_and_what_was_ticked_stays(client, door, quote):
    page = client.post(door, {"act": "accept", "answer-name": " ", "take": "option-1"})

    assert "Write your name." in page.content.decode()
    assert 'value="option-1" checked' in page.content.decode()
    quote.refresh_from_db()
    assert quote.state == Quote.State.ISSUED


def test_a_question_is_asked_answered_and_read(client, signed_in, door, quote):
    client.post(door, {"act": "ask", "ask-name": "Ada", "ask-text": "Is it <b>oak</b>?"})
    question = QuoteQuestion.objects.get()
    assert "Is it &lt;b&gt;oak" in client.get(door).content.decode()
    browser = signed_in("estimator")
    assert "Is it &lt;b&gt;oak" in browser.get(quote.get_absolute_url()).content.decode()

    browser.post(reverse("question-answer", args=[question.pk]), {"text": "Yes, white oak."})

    assert "Yes, white oak." in client.get(door).content.decode()


def test_too_many_questions_are_refused(client, door):
    for number in range(MOST_OPEN_QUESTIONS + 1):
        answer = client.post(door, {"act": "ask", "ask-name": "Ada", "ask-text": f"{number}?"})

    assert "So many questions are open" in answer.content.decode()
    assert QuoteQuestion.objects.count() == MOST_OPEN_QUESTIONS


def test_a_link_that_ended_or_never_was_leads_nowhere(client, door, signed_in, quote):
    unknown = client.get(reverse("client-offer", args=["guess"]))
    signed_in().post(reverse("quote-link-end", args=[quote.pk]))

    for path in (door, f"{door}quotation.pdf"):
        assert client.get(path).status_code == 404
    ended = client.post(door, {"act": "accept", "answer-name": "Ada"})
    assert (ended.status_code, unknown.status_code) == (404, 404)
    assert ended.content == client.get(door).content
    quote.refresh_from_db()
    assert quote.state == Quote.State.ISSUED


def test_a_link_ends_by_itself(client, door):
    QuoteLink.objects.update(ends_at=timezone.now() - timedelta(seconds=1))

    assert client.get(door).status_code == 404


def test_what_is_over_can_be_read_but_not_accepted(client, door, quote):
    Quote.objects.update(valid_until=timezone.localdate() - timedelta(days=1))

    page = client.get(door).content.decode()
    client.post(door, {"act": "accept", "answer-name": "Ada"})

    assert "This quotation was valid until" in page
    assert 'value="accept"' not in page
    quote.refresh_from_db()
    assert quote.state == Quote.State.ISSUED
    tasks.expire()
    quote.refresh_from_db()
    assert quote.state == Quote.State.EXPIRED
    assert "This quotation was valid until" in client.get(door).content.decode()


def test_a_quote_holds_through_its_last_day_where_the_workshop_is(quote):
    last = quote.valid_until
    zone = ZoneInfo(quote.commission.workshop.time_zone)

    assert expire(datetime.combine(last, time(23, 59), zone)) == 0
    assert expire(datetime.combine(last + timedelta(days=1), time(0, 1), zone)) == 1


def test_a_superseded_revision_says_so(client, door, quote, commission):
    out(commission)

    page = client.get(door).content.decode()
    client.post(door, {"act": "accept", "answer-name": "Ada"})

    assert "replaced by a newer one" in page
    quote.refresh_from_db()
    assert quote.state == Quote.State.SUPERSEDED


def test_the_page_is_in_the_language_of_the_quote(client, commission):
    door = door_to(out(commission, language=Language.DE))

    page = client.get(door).content.decode()

    assert '<html lang="de-DE">' in page
    assert "Annehmen" in page
    assert "Schreiben Sie Ihren Namen." in client.post(door, {"act": "accept"}).content.decode()


def test_the_link_is_shown_once_and_mailed(signed_in, quote):
    client_row = quote.commission.client
    client_row.email = "ada@byrne.example"
    client_row.save()
    browser = signed_in("estimator")

    page = browser.post(reverse("quote-link", args=[quote.pk]), {"mail": "yes"}).content.decode()

    address = re.search(r'href="(http://testserver/offer/[^"]+)"', page)[1]
    assert address in mail.outbox[0].body
    assert address not in browser.get(quote.get_absolute_url()).content.decode()
    assert QuoteLink.objects.get().sha256 not in address


def test_a_draft_has_no_page(signed_in, commission):
    draft = draft_quote(commission, by=None, on=timezone.localdate())

    answer = signed_in().post(reverse("quote-link", args=[draft.pk]), follow=True)

    assert "issue it, then link to it" in answer.content.decode()
    assert not QuoteLink.objects.exists()


def test_queries_of_the_page_do_not_grow(client, door, quote, django_assert_max_num_queries):
    for number in range(6):
        client.post(door, {"act": "ask", "ask-name": "Ada", "ask-text": f"{number}?"})

    with django_assert_max_num_queries(5):
        client.get(door)
