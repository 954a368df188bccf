"""The client's page: one quote behind a link, in their language, to read, choose, answer and ask."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import SafeString
from django.views.decorators.http import require_http_methods, require_safe

from costing.core.quotation import Quotation
from costing.core.wording import words_of
from costing.documents.quotation import drawing_of, written
from costing.documents.tongue import Tongue
from costing.models import Quote, QuoteLink
from costing.services import quote_links
from costing.services.quotations import agreed_of, drawn_of, quotation_of
from costing.web.papers import pdf
from orders.core.errors import NotNow, WorkshopError
from orders.web.access import open_to_everybody
from orders.web.drawings import drawn
from orders.web.forms import faults_in, posted

DRAWN_PX = 340.0
HEADERS = {
    "X-Robots-Tag": "noindex, nofollow",
    "Cache-Control": "private, no-store",
    "Referrer-Policy": "same-origin",
}
SAYS: Mapping[str, str] = {
    Quote.State.ACCEPTED: "page_thanks_accepted",
    Quote.State.DECLINED: "page_was_declined",
    Quote.State.SUPERSEDED: "page_was_superseded",
    Quote.State.EXPIRED: "page_was_expired",
}


class ClientForm(forms.Form):
    """What a client sends: their name, and what they say."""

    name = forms.CharField(max_length=120, widget=forms.TextInput({"autocomplete": "name"}))

    def __init__(self, data: Any, tongue: Tongue, **more: Any) -> None:
        super().__init__(data, **more)
        words = tongue.words
        self.fields["name"].label = words["page_your_name"]
        self.fields["name"].error_messages["required"] = words["page_give_name"]


class QuestionForm(ClientForm):
    """A question."""

    text = forms.CharField(max_length=2000, widget=forms.Textarea({"rows": 4}))

    def __init__(self, data: Any, tongue: Tongue, **more: Any) -> None:
        super().__init__(data, tongue, **more)
        self.fields["text"].label = tongue.words["page_your_question"]
        self.fields["text"].error_messages["required"] = tongue.words["page_give_question"]


@open_to_everybody
@require_http_methods(["GET", "HEAD", "POST"])
def client_offer(request: HttpRequest, secret: str) -> HttpResponse:
    """The quote; sent, an answer or a question."""
    link = quote_links.follow(secret, at=timezone.now())
    if link is None:
        return ended(request)
    with timezone.override(ZoneInfo(link.quote.commission.workshop.time_zone)):
        return private(answered(request, link, secret))


def answered(request: HttpRequest, link: QuoteLink, secret: str) -> HttpResponse:
    """What the client sent is done, or their page is shown."""
    quote = link.quote
    said = agreed_of(quote) if quote.state == Quote.State.ACCEPTED else quotation_of(quote)
    tongue = Tongue(said.language)
    act, sent = request.POST.get("act", ""), posted(request)
    answer = ClientForm(sent if act in ("accept", "decline") else None, tongue, prefix="answer")
    question = QuestionForm(sent if act == "ask" else None, tongue, prefix="ask")
    chosen = [key for key in (request.POST or request.GET).getlist("take") if key in keys_of(said)]
    form = question if act == "ask" else answer
    if form.is_bound and form.is_valid():
        with faults_in(form):
            done(link, act, form.cleaned_data, chosen, tongue)
            return redirect("client-offer", secret=secret)
        quote.refresh_from_db(fields=["state", "decided_at", "decided_by"])
    shown = page_of(quote, with_chosen(said, chosen) if is_open(quote) else said, tongue)
    shown |= {"answer": answer, "question": question, "secret": secret, "chosen": chosen}
    return render(request, "costing/client_offer.html", shown)


def with_chosen(said: Quotation, chosen: Sequence[str]) -> Quotation:
    """The quotation with what is ticked; as it was where that cannot be had together."""
    try:
        return said.taking(chosen)
    except WorkshopError:
        return said


@open_to_everybody
@require_safe
def client_paper(request: HttpRequest, secret: str) -> HttpResponse:
    """The paper as it was issued."""
    link = quote_links.follow(secret, at=timezone.now())
    if link is None:
        return ended(request)
    return private(pdf(bytes(link.quote.pdf or b""), f"quotation-{link.quote.mark}"))


def done(
    link: QuoteLink, act: str, said: Mapping[str, str], chosen: list[str], tongue: Tongue
) -> None:
    """Do what the client asks for; what stands against it is said in their language."""
    now = timezone.now()
    try:
        if act == "accept":
            quote_links.accept(link, name=said["name"], at=now, options=chosen)
        elif act == "decline":
            quote_links.decline(link, name=said["name"], at=now)
        else:
            quote_links.ask(link, name=said["name"], text=said["text"], at=now)
    except NotNow as fault:
        key = "page_too_many" if act == "ask" else "page_not_now"
        raise WorkshopError(tongue.words[key]) from fault


def is_open(quote: Quote) -> bool:
    """Whether the client may still answer."""
    return quote.state == Quote.State.ISSUED and quote.valid_until >= timezone.localdate()


def keys_of(said: Quotation) -> frozenset[str]:
    """The options that can be ticked."""
    return frozenset(option.key for option in said.options)


def page_of(quote: Quote, said: Quotation, tongue: Tongue) -> dict[str, Any]:
    """Everything the page shows."""
    return {
        **written(said),
        "quotation": said,
        "quote": quote,
        "is_open": is_open(quote),
        "is_accepted": quote.state == Quote.State.ACCEPTED,
        "standing": standing_of(quote, tongue),
        "offered": [
            {"option": option, "net": tongue.amount(option.net, said.currency)}
            for option in said.options
        ],
        "pictures": pictures(quote, said),
        "asked": list(quote.questions.all()),
    }


def standing_of(quote: Quote, tongue: Tongue) -> str:
    """What became of a quote that can no longer be answered, in a sentence."""
    if is_open(quote):
        return ""
    state = Quote.State.EXPIRED if quote.state == Quote.State.ISSUED else quote.state
    on = (
        timezone.localdate(quote.decided_at)
        if quote.decided_by and quote.decided_at
        else quote.valid_until
    )
    return tongue.said(SAYS[Quote.State(state)], name=quote.decided_by, day=tongue.day(on))


def pictures(quote: Quote, said: Quotation) -> list[SafeString]:
    """What is offered, drawn as it will stand."""
    words = words_of(said.language)["piece_in_words"]
    return [
        drawn(drawing_of(label, pieces, f"piece-{place}", DRAWN_PX, words))
        for place, (label, pieces) in enumerate(drawn_of(quote))
    ]


def ended(request: HttpRequest) -> HttpResponse:
    """The link leads nowhere (any more); nothing tells which."""
    return private(render(request, "costing/client_ended.html", status=404))


def private(answer: HttpResponse) -> HttpResponse:
    """Kept out of search engines, caches and the addresses that other pages see."""
    for name, value in HEADERS.items():
        answer[name] = value
    return answer
