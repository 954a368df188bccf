"""The client's door: a link to one quote, what they answer and ask through it, and its end."""

from __future__ import annotations

import secrets
from collections.abc import Collection
from datetime import datetime, timedelta

from django.db import transaction

from costing.models import Quote, QuoteLink, QuoteQuestion
from costing.services import quotes
from orders.core.errors import NotNow
from orders.services.reading import Reader
from shop.models import User
from shop.services.tokens import hash_of

BYTES = 32
AFTERWARDS = timedelta(days=60)
"""How long after the last day of validity a link still shows what was offered."""
MOST_OPEN_QUESTIONS = 10
SHOWN = (Quote.State.ISSUED, Quote.State.ACCEPTED)


@transaction.atomic
def make_link(quote: Quote, *, by: User | None, at: datetime) -> tuple[QuoteLink, str]:
    """A link to a quote that is out, and its secret, which is shown this once.

    The link before it ends. Raises NotNow for a quote that is neither out nor accepted.
    """
    quote = quotes.held(quote)
    if quote.state not in SHOWN:
        raise NotNow(
            f"Quote {quote.mark} is {quote.get_state_display()}; issue it, then link to it."
        )
    secret = secrets.token_urlsafe(BYTES)
    quote.links.filter(ended_at=None).update(ended_at=at)
    link: QuoteLink = quote.links.create(
        sha256=hash_of(secret), made_at=at, made_by=by, ends_at=ends_at(quote, at)
    )
    return link, secret


def ends_at(quote: Quote, at: datetime) -> datetime:
    """When a link that is made now ends by itself."""
    return at + max(quote.valid_until - at.date(), timedelta()) + AFTERWARDS


def end_links(quote: Quote, *, at: datetime) -> int:
    """Take every link to a quote back; how many."""
    return int(quote.links.filter(ended_at=None).update(ended_at=at))


def follow(secret: str, *, at: datetime) -> QuoteLink | None:
    """The link with its quote; None if there is none of this secret, or it has ended."""
    found: QuoteLink | None = (
        QuoteLink.objects.filter(sha256=hash_of(secret))
        .select_related("quote__commission__workshop", "quote__commission__client")
        .defer("quote__pdf")
        .first()
    )
    if found is None or not found.is_open(at):
        return None
    if found.seen_at is None:
        QuoteLink.objects.filter(pk=found.pk, seen_at=None).update(seen_at=at)
    return found


@transaction.atomic
def accept(link: QuoteLink, *, name: str, at: datetime, options: Collection[str] = ()) -> Quote:
    """The client says yes with the options they ticked; raises as `quotes.accept` does."""
    _still(link, at)
    return quotes.accept(link.quote, name=name, by=None, at=at, options=options)


@transaction.atomic
def decline(link: QuoteLink, *, name: str, at: datetime) -> Quote:
    """The client says no; raises as `quotes.decline` does."""
    _still(link, at)
    return quotes.decline(link.quote, name=name, by=None, at=at)


@transaction.atomic
def ask(link: QuoteLink, *, name: str, text: str, at: datetime) -> QuoteQuestion:
    """Write a question down.

    Raises RuleBroken or RulesBroken for a name or a question that is missing or too long, NotNow
    when so many are open that more would be noise.
    """
    _still(link, at)
    reader = Reader()
    name = reader.text("name", name, "your name", most=120, needed=True)
    text = reader.text("text", text, "your question", most=2000, needed=True, lines=True)
    reader.settle()
    if link.quote.questions.filter(answered_at=None).count() >= MOST_OPEN_QUESTIONS:
        raise NotNow("So many questions are open; wait for an answer, or call.")
    asked: QuoteQuestion = link.quote.questions.create(name=name, text=text, asked_at=at)
    return asked


@transaction.atomic
def answer(question: QuoteQuestion, *, text: str, by: User, at: datetime) -> QuoteQuestion:
    """Answer a question; the client reads it where they asked. Raises RuleBroken for no answer."""
    reader = Reader()
    text = reader.text("text", text, "an answer", most=4000, needed=True, lines=True)
    reader.settle()
    question.answer, question.answered_at, question.answered_by = text, at, by
    question.save(update_fields=["answer", "answered_at", "answered_by"])
    return question


def _still(link: QuoteLink, at: datetime) -> None:
    """Raise NotNow if the link was taken back, or has ended, since it was followed."""
    now = QuoteLink.objects.select_for_update().get(pk=link.pk)
    if not now.is_open(at):
        raise NotNow("This link has ended.")
