"""The invoices of an order: the payments that were agreed, issued one after another."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from costing.documents.invoice import invoice_of_workshop
from costing.models import Invoice
from costing.services import invoices
from costing.services.quotations import agreed_of
from costing.web.papers import pdf
from orders.models import Commission
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import SheetForm, faults_in, posted
from orders.web.found import attempted, commission_of

ZONE = "commissions"


class InvoiceForm(SheetForm):
    """In how many days the next payment is asked for."""

    takes_focus = False
    stage = forms.IntegerField(widget=forms.HiddenInput)
    days_to_pay = forms.IntegerField(
        min_value=0,
        max_value=invoices.MOST_DAYS,
        label="Days to pay",
        initial=invoices.USUAL_DAYS,
        help_text="From today; 0 asks for the payment at once.",
    )


@require_http_methods(["GET", "HEAD", "POST"])
@needs("costing.see_invoices", zone=ZONE)
def invoice_list(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The payments of an order with their invoices; sent, the next one is issued."""
    commission = commission_of(request, pk)
    quote = invoices.accepted_quote(commission)
    plan = invoices.payments(quote) if quote else ()
    following = next((one for one in plan if one.is_next), None)
    may_issue = request.user.has_perm("costing.issue_invoices")
    form = InvoiceForm(
        posted(request) if may_issue else None,
        initial={"stage": following.number if following else None},
    )
    if quote and may_issue and form.is_valid():
        with faults_in(form):
            issued = invoices.issue_invoice(
                quote,
                by=request.user,
                at=timezone.now(),
                paper=invoice_of_workshop,
                **form.values(),
            )
            messages.success(request, f"Invoice {issued.mark} is issued; it no longer changes.")
            return redirect("invoices", commission.pk)
    rows = Invoice.objects.of(request.workshop).filter(quote__commission=commission)
    return render(
        request,
        "costing/invoices.html",
        {
            "commission": commission,
            "quote": quote,
            "agreed": agreed_of(quote) if quote else None,
            "plan": plan,
            "following": following,
            "last": next((one.invoice for one in reversed(plan) if one.invoice), None),
            "form": form,
            "rows": rows.defer("pdf", "content").select_related("takes_back"),
            "today": timezone.localdate(),
        },
    )


@require_safe
@needs("costing.see_invoices", zone=ZONE)
def invoice_paper(request: WorkshopRequest, pk: int) -> HttpResponse:
    """An invoice as it was issued."""
    invoice = invoice_of(request, pk)
    kind = "credit-note" if invoice.takes_back_id else "invoice"
    return pdf(bytes(invoice.pdf), f"{kind}-{invoice.mark}")


@require_POST
@needs("costing.issue_invoices", zone=ZONE)
def invoice_take_back(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Take an invoice back by a credit note."""
    invoice = invoice_of(request, pk)
    commission: Commission = invoice.quote.commission
    credit = attempted(
        request,
        invoices.take_back,
        invoice,
        by=request.user,
        at=timezone.now(),
        paper=invoice_of_workshop,
    )
    if credit:
        messages.success(request, f"Credit note {credit.mark} takes invoice {invoice.mark} back.")
    return redirect("invoices", commission.pk)


def invoice_of(request: WorkshopRequest, pk: int) -> Invoice:
    """An invoice, if this workshop has it."""
    rows = Invoice.objects.of(request.workshop).select_related("quote__commission")
    found: Invoice = get_object_or_404(rows, pk=pk)
    return found
