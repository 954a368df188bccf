"""Invoices: one for each payment of what was agreed, numbered in order, taken back by credit notes."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction
from django.db.models import Max
from django.utils import timezone
from pydantic import TypeAdapter

from costing.core.invoice import Invoice as Said
from costing.core.invoice import InvoiceKind, InvoiceLine, Preceding
from costing.core.money import HUNDRED
from costing.core.offer import PaymentStage, StageInvoice, stage_invoices
from costing.core.quotation import Quotation
from costing.core.wording import words_of
from costing.models import Invoice, Quote
from costing.services.quotations import agreed_of, client, seller
from orders.core.errors import NotNow, NotReady, RuleBroken
from orders.core.stages import Stage
from orders.models import Commission
from shop.models import User, Workshop

SAID = TypeAdapter(Said)
USUAL_DAYS, MOST_DAYS = 14, 365
BILLED = (Stage.ACCEPTED, Stage.IN_WORK, Stage.DELIVERED, Stage.CLOSED)

Paper = Callable[[Said, Workshop], bytes]
"""What prints an invoice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Payment:
    """A payment of what was agreed, and the invoice for it as it stands."""

    number: int
    stage: PaymentStage
    invoice: Invoice | None
    is_next: bool


def accepted_quote(commission: Commission) -> Quote | None:
    """The quote that the client accepted."""
    found: Quote | None = (
        Quote.objects.filter(commission=commission, state=Quote.State.ACCEPTED)
        .select_related("commission__workshop", "commission__client")
        .defer("pdf")
        .first()
    )
    return found


def payments(quote: Quote) -> tuple[Payment, ...]:
    """Every payment of an accepted quote, and which is to be invoiced next."""
    issued = {row.stage: row for row in _standing(quote)}
    stages = stages_of(agreed_of(quote))
    first = next((n for n, _ in enumerate(stages, start=1) if n not in issued), None)
    return tuple(
        Payment(number=n, stage=stage, invoice=issued.get(n), is_next=n == first)
        for n, stage in enumerate(stages, start=1)
    )


def stages_of(agreed: Quotation) -> tuple[PaymentStage, ...]:
    """The payments that were agreed; the whole at once where none were."""
    if agreed.stages:
        return agreed.stages
    whole = words_of(agreed.language)["whole_payment"]
    return (PaymentStage(label=whole, percent=HUNDRED, amount=agreed.gross),)


def said_of(invoice: Invoice) -> Said:
    """What an invoice says."""
    return SAID.validate_python(invoice.content)


@transaction.atomic
def issue_invoice(
    quote: Quote,
    *,
    by: User | None,
    at: datetime,
    paper: Paper,
    days_to_pay: int = USUAL_DAYS,
    stage: int | None = None,
) -> Invoice:
    """Invoice the next payment; `stage` says which the person had before them.

    Raises NotNow if the quote is not accepted, everything is invoiced, or that payment no longer
    is the next; NotReady if a party lacks what an invoice must name; RuleBroken for the days.
    """
    if not 0 <= days_to_pay <= MOST_DAYS:
        raise RuleBroken("days_to_pay", f"Give 0 to {MOST_DAYS} days to pay in.")
    workshop = Workshop.objects.select_for_update().get(pk=quote.commission.workshop_id)
    quote = _held(quote)
    if quote.state != Quote.State.ACCEPTED or quote.commission.stage not in BILLED:
        raise NotNow(f"Quote {quote.mark} was not accepted; only what was agreed is invoiced.")
    due = next((one for one in payments(quote) if one.is_next), None)
    if due is None:
        raise NotNow(f"Every payment of quote {quote.mark} is invoiced.")
    if stage not in (None, due.number):
        raise NotNow("Somebody invoiced this payment meanwhile; look at the list again.")
    agreed = agreed_of(quote)
    require_parties(quote.commission, agreed)
    on = timezone.localdate(at)
    number = _next(workshop, on.year)
    said = _said(quote, agreed, due.number, number, on, on + timedelta(days=days_to_pay))
    return _kept(workshop, quote, due.number, number, said, by=by, at=at, paper=paper)


@transaction.atomic
def take_back(invoice: Invoice, *, by: User | None, at: datetime, paper: Paper) -> Invoice:
    """Take an invoice back by a credit note; its payment can be invoiced again.

    Raises NotNow for a credit note, an invoice that was taken back, or one that a later invoice
    of the same order counts on.
    """
    workshop = Workshop.objects.select_for_update().get(pk=invoice.workshop_id)
    invoice = Invoice.objects.select_for_update().get(pk=invoice.pk)
    if invoice.kind == InvoiceKind.CREDIT or invoice.is_taken_back:
        raise NotNow(f"{invoice.mark} cannot be taken back (again).")
    quote = _held(invoice.quote)
    if later := next((row for row in _standing(quote) if row.stage > invoice.stage), None):
        raise NotNow(f"Invoice {later.mark} counts on this one; take that back first.")
    on = timezone.localdate(at)
    before, number = said_of(invoice), _next(workshop, on.year)
    said = replace(
        before,
        number=_mark(number, on.year),
        kind=InvoiceKind.CREDIT,
        issued_on=on,
        due_on=on,
        takes_back=Preceding(
            number=before.number, issued_on=before.issued_on, due=before.totals.due
        ),
    )
    Invoice.objects.filter(pk=invoice.pk).update(is_taken_back=True)
    return _kept(
        workshop, quote, invoice.stage, number, said, by=by, at=at, paper=paper, takes_back=invoice
    )


def require_parties(commission: Commission, agreed: Quotation) -> None:
    """Raise NotReady for what an invoice must name and nobody has written down.

    Source: EN 16931-1, BR-06 to BR-11, BR-S-02.
    """
    if missing := [*_missing(commission, agreed)]:
        raise NotReady(f"An invoice names {' and '.join(missing)}; add it first.")


def _missing(commission: Commission, agreed: Quotation) -> Iterator[str]:
    workshop = commission.workshop
    if not workshop.address.strip():
        yield "the workshop's address (under Workshop)"
    if not workshop.country:
        yield "the workshop's country (under Workshop, letterhead)"
    if not workshop.tax_number and any(group.tax for group in agreed.taxes):
        yield "the workshop's tax number (under Workshop)"


def _held(quote: Quote) -> Quote:
    held: Quote = (
        Quote.objects.select_for_update(of=("self",))
        .select_related("commission__workshop", "commission__client")
        .defer("pdf")
        .get(pk=quote.pk)
    )
    return held


def _standing(quote: Quote) -> Sequence[Invoice]:
    """The invoices of a quote that were not taken back, in the order of their payments."""
    rows = quote.invoices.filter(is_taken_back=False).exclude(kind=InvoiceKind.CREDIT)
    return list(rows.defer("pdf", "content").order_by("stage"))


def _mark(number: int, year: int) -> str:
    return Invoice(year=year, number=number).mark


def _next(workshop: Workshop, year: int) -> int:
    """The number after the last of the year; the workshop's row is held."""
    rows = Invoice.objects.filter(workshop=workshop, year=year)
    return int(rows.aggregate(last=Max("number"))["last"] or 0) + 1


def _kept(
    workshop: Workshop,
    quote: Quote,
    stage: int,
    number: int,
    said: Said,
    *,
    by: User | None,
    at: datetime,
    paper: Paper,
    takes_back: Invoice | None = None,
) -> Invoice:
    printed = paper(said, workshop)
    kept: Invoice = Invoice.objects.create(
        workshop=workshop,
        year=said.issued_on.year,
        number=number,
        kind=said.kind.value,
        quote=quote,
        stage=stage,
        takes_back=takes_back,
        issued_on=said.issued_on,
        due_on=said.due_on,
        issued_at=at,
        issued_by=by,
        currency=said.currency,
        gross=said.totals.gross,
        due=said.totals.due,
        content=SAID.dump_python(said, mode="json"),
        pdf=printed,
        pdf_sha256=hashlib.sha256(printed).hexdigest(),
    )
    return kept


def _said(
    quote: Quote, agreed: Quotation, payment: int, number: int, on: date, due_on: date
) -> Said:
    """The invoice of a payment, before it has been printed."""
    commission, workshop = quote.commission, quote.commission.workshop
    stages = stages_of(agreed)
    share = stage_invoices(agreed.taxed, agreed.adjustments, stages, agreed.currency)[payment - 1]
    return Said(
        number=_mark(number, on.year),
        kind=InvoiceKind.FINAL if share.is_last else InvoiceKind.ADVANCE,
        issued_on=on,
        due_on=due_on,
        language=agreed.language,
        currency=agreed.currency,
        order=commission.mark,
        title=agreed.title,
        seller=seller(workshop),
        client=client(commission.client),
        stage=share.stage.label,
        percent=share.stage.percent,
        lines=tuple(_lines(agreed, share)),
        adjustments=agreed.adjustments if share.is_last else (),
        totals=share.totals,
        tax_name=agreed.tax_name,
        iban=workshop.iban,
        earlier=tuple(
            Preceding(number=row.mark, issued_on=row.issued_on, due=row.due)
            for row in _standing(quote)
        )
        if share.is_last
        else (),
    )


def _lines(agreed: Quotation, share: StageInvoice) -> Iterator[InvoiceLine]:
    """The whole order on the last invoice, one line a rate of tax on those before it."""
    if not share.is_last:
        said = words_of(agreed.language)["in_advance"]
        for line in share.lines:
            yield InvoiceLine(
                label=said.format(rate=f"{line.rate.normalize():f} %"),
                quantity=Decimal(1),
                net=line.amount,
                tax_rate=line.rate,
                tax_category=line.category,
            )
        return
    for item, taxed in zip(agreed.charged, share.lines, strict=True):
        sign = -1 if item.net < 0 else 1
        yield InvoiceLine(
            label=item.label,
            quantity=Decimal(sign * item.quantity),
            net=item.net,
            tax_rate=taxed.rate,
            tax_category=taxed.category,
            note=item.note,
        )
