"""Quotes: draft a revision from the estimate, issue it frozen, record what the client says."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection
from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils import timezone

from costing.core.arrangement import LONGEST_LABEL, Arrangement, AskedOption
from costing.core.arrangement import LONGEST_NOTE as LONGEST_OPTION_NOTE
from costing.core.quotation import OptionKind, Quotation
from costing.models import Quote, WhatIf
from costing.services import what_ifs
from costing.services.estimating import basis_for, priced
from costing.services.quotations import (
    ARRANGEMENT,
    QUOTATION,
    arrangement_of,
    draft,
    printable,
    quotation_of,
    rearrange,
)
from orders.core.errors import NotNow, NotReady, RuleBroken
from orders.core.stages import Stage
from orders.models import Commission
from orders.services.commissions import move
from shop.models import User, Workshop

LONGEST_NOTE = 200
OVER = "The last day of validity has passed; give a later one."
QUOTABLE = (Stage.ENQUIRY, Stage.QUOTED)


@transaction.atomic
def draft_quote(commission: Commission, *, by: User | None, on: date) -> Quote:
    """The next revision as a draft, from the estimate of today; a draft that exists is remade.

    What was arranged for the draft stays, or is taken over from the revision before. Raises NotNow
    once the commission is accepted or declined, NotReady if it cannot be priced, RuleBroken or
    RulesBroken if what was arranged does not fit the estimate any more.
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
    quote = commission.quotes.filter(state=Quote.State.DRAFT).first() or _next(commission)
    workshop = commission.workshop
    usual = on + timedelta(days=workshop.quote_valid_days)
    quote.valid_until = max(quote.valid_until, usual) if quote.pk else usual
    quote.standard_edition, quote.rate_edition = basis.standard_edition, basis.rate_edition
    draft(quote, basis, estimate)
    quote.save_next()
    return quote


@transaction.atomic
def offer_alternative(what_if: WhatIf, *, by: User | None, on: date) -> Quote:
    """Put a what-if among the options of the commission's draft, at what it is dearer or cheaper.

    A draft is made if there is none; an option of the same name is replaced. Raises as
    `draft_quote` and `arrange` do, NotReady if the alternative cannot be priced.
    """
    commission: Commission = what_if.commission
    stands, *others = what_ifs.side_by_side(commission, on, timezone.now())
    side = next(one for one in others if one.what_if == what_if)
    if stands.estimate is None or side.estimate is None:
        raise NotReady(side.fault or stands.fault)
    quote = commission.quotes.filter(state=Quote.State.DRAFT).first()
    quote = held(quote or draft_quote(commission, by=by, on=on))
    kept = arrangement_of(quote)
    option = AskedOption(
        label=what_if.name,
        net=side.estimate.net - stands.estimate.net,
        kind=OptionKind.ALTERNATIVE,
        instead_of=commission.title[:LONGEST_LABEL],
        note=", ".join(side.words)[:LONGEST_OPTION_NOTE],
    )
    others_kept = tuple(one for one in kept.options if one.label != option.label)
    return arrange(
        quote,
        replace(kept, options=(*others_kept, option)),
        valid_until=max(quote.valid_until, on),
        terms=quote.terms,
        on=on,
    )


def keep_as_usual(quote: Quote) -> Workshop:
    """Let new quotes begin with this one's payments, assumptions, exclusions and lead time."""
    usual = replace(
        arrangement_of(quote), items=(), adjustments=(), options=(), language=None, finish=""
    )
    workshop: Workshop = quote.commission.workshop
    workshop.usual_offer = ARRANGEMENT.dump_python(usual, mode="json")
    workshop.save(update_fields=["usual_offer"])
    return workshop


def _next(commission: Commission) -> Quote:
    """The next revision, arranged as the last one was."""
    last = commission.quotes.first()
    return Quote(
        commission=commission,
        revision=(last.revision if last else 0) + 1,
        version=0,
        arranged=last.arranged if last else commission.workshop.usual_offer,
        terms=last.terms if last else commission.workshop.quote_terms,
    )


@transaction.atomic
def arrange(
    quote: Quote,
    arrangement: Arrangement,
    *,
    valid_until: date,
    terms: str,
    on: date,
    version: int | None = None,
) -> Quote:
    """Say beside the estimate what the draft offers; its figures are added up anew.

    Raises Stale if the draft is no longer at `version`, NotNow if it is none any more, RuleBroken
    or RulesBroken for what does not fit.
    """
    Commission.objects.select_for_update().get(pk=quote.commission_id)
    quote = held(quote)
    _require_draft(quote)
    quote.require_version(version)
    if valid_until < on:
        raise RuleBroken("valid_until", OVER)
    if "reckoning" not in quote.content:
        raise NotNow("This draft is an old one; draft it again, then arrange it.")
    quote.valid_until, quote.terms = valid_until, printable(terms)
    quote.arranged = ARRANGEMENT.dump_python(arrangement, mode="json")
    rearrange(quote)
    quote.save_next()
    return quote


def held(quote: Quote) -> Quote:
    """The quote as it is now, held until the transaction ends."""
    found: Quote = (
        Quote.objects.select_for_update(of=("self",))
        .select_related(
            "commission__workshop", "commission__client", "standard_edition", "rate_edition"
        )
        .get(pk=quote.pk)
    )
    return found


def _require_draft(quote: Quote) -> None:
    if quote.state != Quote.State.DRAFT:
        raise NotNow(f"Quote {quote.mark} is already {quote.get_state_display()}.")


@transaction.atomic
def issue(
    quote: Quote,
    *,
    by: User | None,
    at: datetime,
    paper: Callable[[Quote, Quotation], bytes],
    valid_until: date | None = None,
    terms: str | None = None,
) -> Quote:
    """Freeze the draft, print it, supersede the revision that was out, and say so on the stage.

    Raises NotNow if it is not a draft (any more), or in another currency than the workshop's now;
    RuleBroken for a validity that has ended.
    """
    commission = Commission.objects.select_for_update().get(pk=quote.commission_id)
    quote = held(quote)
    _require_draft(quote)
    if commission.stage not in QUOTABLE:
        raise NotNow(f"{commission.mark} is {commission.get_stage_display().lower()} already.")
    if quote.currency != commission.workshop.currency:
        raise NotNow(
            f"The draft is in {quote.currency}, the workshop reckons in"
            f" {commission.workshop.currency} now; draft it again."
        )
    on = timezone.localdate(at)
    until = valid_until or quote.valid_until
    if until < on:
        raise RuleBroken("valid_until", OVER)
    quote.terms = printable(quote.terms if terms is None else terms)
    said = replace(quotation_of(quote).issued(on, until), terms=quote.terms)
    commission.quotes.filter(state=Quote.State.ISSUED).update(
        state=Quote.State.SUPERSEDED, decided_at=at
    )
    quote.content["quotation"] = QUOTATION.dump_python(said, mode="json")
    quote.valid_until = until
    quote.pdf = paper(quote, said)
    quote.pdf_sha256 = hashlib.sha256(quote.pdf).hexdigest()
    quote.state, quote.issued_at, quote.issued_by = Quote.State.ISSUED, at, by
    quote.save_next()
    if commission.stage == Stage.ENQUIRY:
        move(commission, Stage.QUOTED, by=by, note=f"Quote {quote.mark} issued")
    return quote


@transaction.atomic
def accept(
    quote: Quote, *, name: str, by: User | None, at: datetime, options: Collection[str] = ()
) -> Quote:
    """The client says yes, with the options they take, and the commission becomes an order.

    Raises NotNow if this revision is not out, or no longer valid; RuleBroken without a name, or
    for an option that is not offered.
    """
    quote = decidable(quote, name)
    if quote.valid_until < timezone.localdate(at):
        raise NotNow(
            f"Quote {quote.mark} was valid until {quote.valid_until:%d %B %Y}; issue a new revision."
        )
    agreed = quotation_of(quote).taking(options)
    quote.content["agreed"] = QUOTATION.dump_python(agreed, mode="json")
    decided(quote, Quote.State.ACCEPTED, name, at)
    taken = [one.label for one in agreed.options if one.is_taken]
    with_what = f", with {', '.join(taken)}" if taken else ""
    note = f"Quote {quote.mark} accepted by {quote.decided_by}{with_what}"
    move(quote.commission, Stage.ACCEPTED, by=by, note=note[:LONGEST_NOTE])
    return quote


@transaction.atomic
def decline(quote: Quote, *, name: str, by: User | None, at: datetime) -> Quote:
    """The client says no to this revision; the commission stays open for another.

    Raises NotNow if this revision is not out, RuleBroken without a name.
    """
    return decided(decidable(quote, name), Quote.State.DECLINED, name, at)


def decidable(quote: Quote, name: str) -> Quote:
    """The quote, locked and out; who answers must be named."""
    if not name.strip():
        raise RuleBroken("name", "Write who gave the answer.")
    Commission.objects.select_for_update().get(pk=quote.commission_id)
    locked = held(quote)
    if locked.state != Quote.State.ISSUED:
        raise NotNow(f"Quote {locked.mark} is {locked.get_state_display()}; it is not out.")
    return locked


def decided(quote: Quote, state: Quote.State, name: str, at: datetime) -> Quote:
    """Write down the answer."""
    quote.state, quote.decided_at, quote.decided_by = state, at, " ".join(name.split())[:120]
    quote.save_next()
    return quote


def expire(at: datetime) -> int:
    """Mark every quote that is out and no longer valid by its workshop's own day; how many."""
    out = Quote.objects.filter(state=Quote.State.ISSUED)
    zones = out.values_list("commission__workshop__time_zone", flat=True).order_by().distinct()
    return sum(
        int(
            out.filter(
                commission__workshop__time_zone=zone,
                valid_until__lt=timezone.localdate(at, ZoneInfo(zone)),
            ).update(state=Quote.State.EXPIRED)
        )
        for zone in list(zones)
    )
