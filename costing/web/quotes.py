"""The quotes of a commission: draft, look, issue, print, and what the client said."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.core.mail import send_mail
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from costing.core.wording import words_of
from costing.documents.cost_sheet import Costed, cost_sheet_pdf
from costing.documents.quotation import quotation_of_quote
from costing.models import Quote, QuoteQuestion
from costing.services import quotations, quote_links, quotes
from costing.services.estimating import estimate_for
from costing.services.papers import shop_of
from costing.web.papers import pdf
from orders.core.errors import WorkshopError
from orders.models import Commission
from orders.web.access import WorkshopRequest, needs
from orders.web.formats import money
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
    options = forms.MultipleChoiceField(
        label="Options they take", required=False, widget=forms.CheckboxSelectMultiple
    )
    name = forms.CharField(label="Who gave the answer", max_length=120)

    @classmethod
    def of(cls, quote: Quote, data: Any = None) -> AnswerForm:
        """The form with the options of a quote."""
        form = cls(data)
        form.fields["options"].choices = [  # type: ignore[attr-defined]
            (one.key, one.label) for one in quotations.quotation_of(quote).options
        ]
        return form


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
    return page_of(request, quote, form=form, answer=AnswerForm.of(quote))


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
    return page_of(request, quote, form=form, answer=AnswerForm.of(quote))


@require_http_methods(["POST"])
@needs("costing.issue_quotes", zone=ZONE)
def quote_answer(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Write down what the client said."""
    quote = quote_of(request, pk)
    answer = AnswerForm.of(quote, posted(request))
    if answer.is_valid():
        given = {
            "name": answer.cleaned_data["name"],
            "by": request.user,
            "at": timezone.now(),
        }
        with faults_in(answer):
            if answer.cleaned_data["answer"] == "accept":
                quotes.accept(quote, options=answer.cleaned_data["options"], **given)
            else:
                quotes.decline(quote, **given)
            messages.success(request, f"Quote {quote.mark}: the answer is written down.")
            return redirect(quote)
    return page_of(request, quote, form=IssueForm(), answer=answer)


@require_safe
@needs("costing.see_quotes", zone=ZONE)
def quote_paper(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The quote as PDF: an issued one as it was issued, a draft as it stands.

    One that was taken over without its paper is printed from what it says.
    """
    quote = quote_of(request, pk)
    is_draft = quote.state == Quote.State.DRAFT
    paper = quote.pdf or quotation_of_quote(
        quote, quotations.quotation_of(quote), is_draft=is_draft
    )
    return pdf(bytes(paper), f"quotation-{quote.mark}")


@require_POST
@needs("costing.issue_quotes", zone=ZONE)
def quote_link(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Make a link for the client; it is shown this once, and mailed if that is asked for."""
    quote = quote_of(request, pk)
    made = attempted(request, quote_links.make_link, quote, by=request.user, at=timezone.now())
    if not made:
        return redirect(quote)
    address = request.build_absolute_uri(reverse("client-offer", args=[made[1]]))
    if "mail" in request.POST and quote.commission.client.email:
        mail_link(quote, address)
        messages.success(request, f"The link went to {quote.commission.client.email}.")
    return page_of(
        request,
        quote_of(request, pk),
        form=IssueForm(),
        answer=AnswerForm.of(quote),
        address=address,
    )


@require_POST
@needs("costing.issue_quotes", zone=ZONE)
def quote_link_end(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Take the link back; whoever follows it finds nothing."""
    quote = quote_of(request, pk)
    quote_links.end_links(quote, at=timezone.now())
    messages.success(request, "The link has ended.")
    return redirect(quote)


@require_POST
@needs("costing.issue_quotes", zone=ZONE)
def question_answer(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Answer a question of the client."""
    rows = QuoteQuestion.objects.of(request.workshop).select_related("quote")
    question = get_object_or_404(rows, pk=pk)
    answered = attempted(
        request,
        quote_links.answer,
        question,
        text=request.POST.get("text", ""),
        by=request.user,
        at=timezone.now(),
    )
    if answered:
        messages.success(request, "The client reads the answer on their page.")
    return redirect(question.quote)


def mail_link(quote: Quote, address: str) -> None:
    """Send the client their link, in the language of the quote."""
    said = quotations.quotation_of(quote)
    words = words_of(said.language)
    lines = [said.title, address, said.seller.name]
    send_mail(
        f"{words['quotation']} {quote.mark}, {said.seller.name}".replace("\n", " "),
        "\n\n".join(lines),
        None,
        [quote.commission.client.email],
    )


@require_safe
@needs("costing.see_estimates", zone=ZONE)
def quote_costs(request: WorkshopRequest, pk: int) -> HttpResponse:
    """What the price of a quote is made of, for the office."""
    quote = quote_of(request, pk)
    commission = quote.commission
    costed = Costed(
        mark=quote.mark,
        title=commission.title,
        client=commission.client.name,
        estimate=quotations.estimate_of(quote),
        standard_edition=quote.standard_edition.number,
        rate_edition=quote.rate_edition.number,
        tax_name=quote.rate_edition.tax_name,
        made_on=timezone.localdate(quote.created_at),
    )
    return pdf(cost_sheet_pdf(costed, shop_of(request.workshop)), f"costs-{quote.mark}")


def page_of(
    request: WorkshopRequest,
    quote: Quote,
    *,
    form: IssueForm,
    answer: AnswerForm,
    address: str = "",
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
            "address": address,
            "link": quote.links.filter(ended_at=None, ends_at__gt=timezone.now()).first(),
            "asked": list(quote.questions.all()),
            "sign": SIGNS[Quote.State(quote.state)],
            "form": form,
            "answer": answer,
            "today": timezone.localdate(),
            "is_out": quote.state == Quote.State.ISSUED,
            "is_draft": quote.state == Quote.State.DRAFT,
            **(reckoned(quote) if "again" in request.GET else {}),
            **(moved_since(quote) if quote.state in MAY_MOVE else {}),
        },
    )


def reckoned(quote: Quote) -> dict[str, Any]:
    """Whether the estimate, made anew from what the quote keeps, still is what it was."""
    again = quotations.reckoned_again(quote)
    if again is None:
        return {"again": "This quote is an old one; it does not keep what it was made from."}
    then = quotations.estimate_of(quote)
    same = (again.net, again.tax, again.lines) == (then.net, then.tax, then.lines)
    return {
        "again": "Reckoned again from what it keeps, every figure is the same to the cent."
        if same
        else f"Reckoned again it comes to {money(again.net, quote.currency)} net, not to"
        f" {money(then.net, quote.currency)}."
    }


MAY_MOVE = (Quote.State.DRAFT, Quote.State.ISSUED)


def moved_since(quote: Quote) -> dict[str, Any]:
    """How far the estimate of today lies from what the quote says."""
    commission: Commission = quote.commission
    try:
        today = estimate_for(commission, timezone.localdate())
    except WorkshopError as fault:
        return {"now_fault": fault.message}
    return {"now": today.net, "moved": today.net - quotations.estimate_of(quote).net}


def quote_of(request: WorkshopRequest, pk: int) -> Quote:
    """A quote, if this workshop has it."""
    rows = Quote.objects.of(request.workshop).select_related(
        "commission__workshop", "commission__client", "standard_edition", "rate_edition"
    )
    found: Quote = get_object_or_404(rows, pk=pk)
    return found
