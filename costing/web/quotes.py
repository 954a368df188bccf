"""The quotes of a commission: draft, look, issue, print, and what the client said."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from costing.documents.quotation import quotation_of_quote
from costing.models import Quote
from costing.services import quotations, quotes
from costing.services.estimating import estimate_for
from costing.web.papers import pdf
from orders.core.errors import WorkshopError
from orders.models import Commission
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import SheetForm, faults_in, posted
from orders.web.found import attempted, commission_of

ZONE = "commissions"

SIGNS = {
    Quote.State.DRAFT: "waiting",
    Quote.State.ISSUED: "running",
    Quote.State.ACCEPTED: "done",
    Quote.State.DECLINED: "stopped",
    Quote.State.EXPIRED: "stopped",
    Quote.State.SUPERSEDED: "paused",
}


class IssueForm(SheetForm):
    """Until when the quote holds, and on what terms."""

    valid_until = forms.DateField(
        label="Valid until",
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        help_text="The last day on which it can be accepted.",
    )
    terms = forms.CharField(required=False, max_length=6000, widget=forms.Textarea({"rows": 7}))


class AnswerForm(SheetForm):
    """What the client said, and who said it."""

    takes_focus = False
    answer = forms.ChoiceField(
        choices=[("accept", "accepted"), ("decline", "declined")], widget=forms.RadioSelect
    )
    name = forms.CharField(label="Who gave the answer", max_length=120)


@require_safe
@needs("costing.see_quotes", zone=ZONE)
def quote_list(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Every revision of a commission, the newest first."""
    commission = commission_of(request, pk)
    rows = commission.quotes.defer("content", "pdf", "terms").select_related(
        "standard_edition", "rate_edition"
    )
    shown = [(quote, SIGNS[Quote.State(quote.state)]) for quote in rows]
    return render(
        request,
        "costing/quotes.html",
        {"commission": commission, "quotes": shown, "today": timezone.localdate()},
    )


@require_POST
@needs("costing.issue_quotes", zone=ZONE)
def quote_draft(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Draft the next revision from today's estimate."""
    commission = commission_of(request, pk)
    quote = attempted(
        request, quotes.draft_quote, commission, by=request.user, on=timezone.localdate()
    )
    return redirect(quote) if quote else redirect("quotes", commission.pk)


@require_safe
@needs("costing.see_quotes", zone=ZONE)
def quote_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One revision: what it says, and what can be done with it."""
    quote = quote_of(request, pk)
    form = IssueForm(initial={"valid_until": quote.valid_until, "terms": quote.terms})
    return page_of(request, quote, form=form, answer=AnswerForm())


@require_http_methods(["POST"])
@needs("costing.issue_quotes", zone=ZONE)
def quote_issue(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Freeze the draft and print it."""
    quote = quote_of(request, pk)
    form = IssueForm(posted(request))
    if form.is_valid():
        with faults_in(form):
            quotes.issue(
                quote, by=request.user, at=timezone.now(), paper=quotation_of_quote, **form.values()
            )
            messages.success(request, f"Quote {quote.mark} is issued; it no longer changes.")
            return redirect(quote)
    return page_of(request, quote, form=form, answer=AnswerForm())


@require_http_methods(["POST"])
@needs("costing.issue_quotes", zone=ZONE)
def quote_answer(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Write down what the client said."""
    quote = quote_of(request, pk)
    answer = AnswerForm(posted(request))
    if answer.is_valid():
        said = quotes.accept if answer.cleaned_data["answer"] == "accept" else quotes.decline
        with faults_in(answer):
            said(
                quote,
                name=answer.cleaned_data["name"],
                by=request.user,
                at=timezone.now(),
            )
            messages.success(request, f"Quote {quote.mark}: the answer is written down.")
            return redirect(quote)
    return page_of(request, quote, form=IssueForm(), answer=answer)


@require_safe
@needs("costing.see_quotes", zone=ZONE)
def quote_paper(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The quote as PDF: an issued one as it was issued, a draft as it stands."""
    quote = quote_of(request, pk)
    paper = quote.pdf or quotation_of_quote(quote, quotations.quotation_of(quote), is_draft=True)
    return pdf(bytes(paper), f"quotation-{quote.mark}")


def page_of(
    request: WorkshopRequest, quote: Quote, *, form: IssueForm, answer: AnswerForm
) -> HttpResponse:
    """The page of a revision with its two forms."""
    is_agreed = quote.state == Quote.State.ACCEPTED
    said = quotations.agreed_of(quote) if is_agreed else quotations.quotation_of(quote)
    return render(
        request,
        "costing/quote.html",
        {
            "quote": quote,
            "commission": quote.commission,
            "said": said,
            "is_agreed": is_agreed,
            "sign": SIGNS[Quote.State(quote.state)],
            "form": form,
            "answer": answer,
            "today": timezone.localdate(),
            "is_out": quote.state == Quote.State.ISSUED,
            "is_draft": quote.state == Quote.State.DRAFT,
            **(moved_since(quote) if quote.state in MAY_MOVE else {}),
        },
    )


MAY_MOVE = (Quote.State.DRAFT, Quote.State.ISSUED)


def moved_since(quote: Quote) -> dict[str, Any]:
    """How far the estimate of today lies from what the quote says."""
    commission: Commission = quote.commission
    try:
        today = estimate_for(commission, timezone.localdate())
    except WorkshopError as fault:
        return {"now_fault": fault.message}
    return {"now": today.net, "moved": today.net - quote.net}


def quote_of(request: WorkshopRequest, pk: int) -> Quote:
    """A quote, if this workshop has it."""
    rows = Quote.objects.of(request.workshop).select_related(
        "commission__workshop", "commission__client", "standard_edition", "rate_edition"
    )
    found: Quote = get_object_or_404(rows, pk=pk)
    return found
