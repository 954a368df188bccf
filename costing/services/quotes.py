"""Quotes: draft a revision from the estimate, issue it frozen, record what the client says."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta

from django.db import transaction
from django.db.models import Max
from django.utils import timezone
from pydantic import TypeAdapter

from costing.core.estimate import Estimate
from costing.core.quotation import Party, Quotation, quoted_items
from costing.models import Quote
from costing.services.estimating import Basis, basis_for, priced
from orders.core.errors import NotNow, NotReady, RuleBroken
from orders.core.exposure import Exposure
from orders.core.species import species as species_of
from orders.core.stages import Stage
from orders.models import Client, Commission
from orders.services.commissions import move
from shop.models import User, Workshop

QUOTATION = TypeAdapter(Quotation)
ESTIMATE = TypeAdapter(Estimate)
QUOTABLE = (Stage.ENQUIRY, Stage.QUOTED)


def quotation_of(quote: Quote) -> Quotation:
    """What the quote says."""
    return QUOTATION.validate_python(quote.content["quotation"])


def estimate_of(quote: Quote) -> Estimate:
    """The estimate that the quote was made from."""
    return ESTIMATE.validate_python(quote.content["estimate"])


@transaction.atomic
def draft_quote(commission: Commission, *, by: User | None, on: date) -> Quote:
    """The next revision as a draft, from the estimate of today; a draft that exists is remade.

    Raises NotNow once the commission is accepted or declined, NotReady if it cannot be priced.
    """
    commission = Commission.objects.select_for_update().get(pk=commission.pk)
    if commission.stage not in QUOTABLE:
        raise NotNow(
            f"{commission.mark} is {commission.get_stage_display().lower()}; only an enquiry or a"
            " quoted commission can be quoted."
        )
    basis = basis_for(commission, on)
    estimate = priced(basis)
    if not estimate.net:
        raise NotReady("There is nothing to quote yet; add an assembly with parts or work to do.")
    newest = commission.quotes.aggregate(n=Max("revision"))["n"] or 0
    draft = commission.quotes.filter(state=Quote.State.DRAFT).first()
    quote = draft or Quote(commission=commission, revision=newest + 1)
    workshop = commission.workshop
    quote.valid_until = on + timedelta(days=workshop.quote_valid_days)
    quote.terms = workshop.quote_terms
    said = quotation(commission, quote, basis, estimate)
    quote.content = {
        "quotation": QUOTATION.dump_python(said, mode="json"),
        "estimate": ESTIMATE.dump_python(estimate, mode="json"),
    }
    quote.currency, quote.net, quote.tax, quote.gross = (
        estimate.currency,
        estimate.net,
        estimate.tax,
        estimate.gross,
    )
    quote.standard_edition, quote.rate_edition = basis.standard_edition, basis.rate_edition
    quote.save()
    return quote


@transaction.atomic
def issue(
    quote: Quote,
    *,
    by: User | None,
    at: datetime,
    paper: Callable[[Quotation], bytes],
    valid_until: date | None = None,
    terms: str | None = None,
) -> Quote:
    """Freeze the draft, print it, supersede the revision that was out, and say so on the stage.

    Raises NotNow if it is not a draft (any more), RuleBroken for a validity that has ended.
    """
    commission = Commission.objects.select_for_update().get(pk=quote.commission_id)
    quote = Quote.objects.select_for_update().get(pk=quote.pk)
    if quote.state != Quote.State.DRAFT:
        raise NotNow(f"Quote {quote.mark} is already {quote.get_state_display()}.")
    if commission.stage not in QUOTABLE:
        raise NotNow(f"{commission.mark} is {commission.get_stage_display().lower()} already.")
    on = timezone.localdate(at)
    until = valid_until or quote.valid_until
    if until < on:
        raise RuleBroken("valid_until", "The last day of validity has passed; give a later one.")
    quote.terms = quote.terms if terms is None else terms
    said = replace(quotation_of(quote).issued(on, until), terms=quote.terms)
    commission.quotes.filter(state=Quote.State.ISSUED).update(
        state=Quote.State.SUPERSEDED, decided_at=at
    )
    quote.content["quotation"] = QUOTATION.dump_python(said, mode="json")
    quote.valid_until = until
    quote.pdf = paper(said)
    quote.pdf_sha256 = hashlib.sha256(quote.pdf).hexdigest()
    quote.state, quote.issued_at, quote.issued_by = Quote.State.ISSUED, at, by
    quote.save()
    if commission.stage == Stage.ENQUIRY:
        move(commission, Stage.QUOTED, by=by, note=f"Quote {quote.mark} issued")
    return quote


@transaction.atomic
def accept(quote: Quote, *, name: str, by: User | None, at: datetime) -> Quote:
    """The client says yes, and the commission becomes an order.

    Raises NotNow if this revision is not out, or no longer valid; RuleBroken without a name.
    """
    quote = decidable(quote, name)
    if quote.valid_until < timezone.localdate(at):
        raise NotNow(
            f"Quote {quote.mark} was valid until {quote.valid_until:%d %B %Y}; issue a new revision."
        )
    decided(quote, Quote.State.ACCEPTED, name, at)
    move(quote.commission, Stage.ACCEPTED, by=by, note=f"Quote {quote.mark} accepted by {name}")
    return quote


@transaction.atomic
def decline(quote: Quote, *, name: str, by: User | None, at: datetime) -> Quote:
    """The client says no to this revision; the commission stays open for another.

    Raises NotNow if this revision is not out, RuleBroken without a name.
    """
    quote = decidable(quote, name)
    return decided(quote, Quote.State.DECLINED, name, at)


def decidable(quote: Quote, name: str) -> Quote:
    """The quote, locked and out; who answers must be named."""
    if not name.strip():
        raise RuleBroken("name", "Write who gave the answer.")
    locked: Quote = (
        Quote.objects.select_for_update(of=("self",))
        .select_related("commission__workshop")
        .get(pk=quote.pk)
    )
    if locked.state != Quote.State.ISSUED:
        raise NotNow(f"Quote {locked.mark} is {locked.get_state_display()}; it is not out.")
    return locked


def decided(quote: Quote, state: Quote.State, name: str, at: datetime) -> Quote:
    """Write down the answer."""
    quote.state, quote.decided_at, quote.decided_by = state, at, name.strip()
    quote.save(update_fields=["state", "decided_at", "decided_by"])
    return quote


def expire(on: date) -> int:
    """Mark every quote that is out and no longer valid; how many."""
    return int(
        Quote.objects.filter(state=Quote.State.ISSUED, valid_until__lt=on).update(
            state=Quote.State.EXPIRED
        )
    )


def quotation(commission: Commission, quote: Quote, basis: Basis, estimate: Estimate) -> Quotation:
    """What the paper will say."""
    timber = sorted({species_of(code).label.lower() for code in basis.species})
    exposure = Exposure(commission.exposure)
    return Quotation(
        number=commission.mark,
        revision=quote.revision,
        title=commission.title,
        currency=estimate.currency,
        seller=seller(commission.workshop),
        client=client(commission.client),
        items=quoted_items(estimate, basis.roots, whole_label="For the whole commission"),
        net=estimate.net,
        tax_name=basis.rate_edition.tax_name,
        taxes=estimate.taxes,
        tax=estimate.tax,
        gross=estimate.gross,
        valid_until=quote.valid_until,
        due_on=commission.due_on,
        timber=", ".join(timber),
        exposure=exposure.label,
        glue=basis.glue_statement,
        terms=quote.terms,
        standard_edition=basis.standard_edition.number,
        rate_edition=basis.rate_edition.number,
    )


def seller(workshop: Workshop) -> Party:
    """The workshop as it is written on papers."""
    return Party(
        name=workshop.name,
        address=workshop.address,
        email=workshop.email,
        phone=workshop.phone,
        tax_number=workshop.tax_number,
        country=workshop.country,
    )


def client(row: Client) -> Party:
    """The client as they are written on papers."""
    return Party(
        name=row.name,
        address=row.address,
        contact=row.contact,
        email=row.email,
        phone=row.phone,
        tax_number=row.tax_number,
        country=row.country or row.workshop.country,
    )
