"""One workshop with a row of every kind, a person of every role, and a stranger."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.test import Client
from django.utils import timezone

from costing.core.labour import learn, packed
from costing.models import (
    Board,
    Charge,
    DoubtfulClocking,
    ForetoldOrder,
    Glue,
    HandEffect,
    LabourChange,
    LabourFit,
    LearnedCell,
    Quote,
    Sheet,
    TimberAllowance,
)
from costing.services.extra_costs import add_extra_cost
from costing.services.invoices import issue_invoice
from costing.services.quote_links import ask, make_link
from costing.services.quotes import accept, draft_quote, issue
from costing.services.what_ifs import add_what_if
from orders.core.stages import Stage
from orders.core.supposition import Supposition
from orders.services.own_patterns import keep_pattern
from orders.services.standards import first_edition
from shop.core.roles import Role
from shop.models import Booking, Clocking, Closure, Job, Plan, PlanChange, Scenario, User
from shop.services.feeds import make_feed
from shop.services.tokens import make_token
from tests.builders import (
    a_calendar,
    a_client,
    a_commission,
    a_hand,
    a_joint,
    a_member,
    a_rack,
    a_station,
    a_workshop,
    an_assembly,
    an_operation,
    an_order,
    extra_work,
    rates_for,
)

OWN_CODES = frozenset(
    {
        "joint-book",
        "stage",
        "uidb64",
        "token",
        "code",
        "type",
        "shelf",
        "joint-types",
        "pattern",
        "secret",
    }
)
"""Parameters that name no row of a workshop."""


NAMED = {"address": "14 Mill Lane", "country": "IE", "tax_number": "IE1234567FA"}
"""What an invoice must say of a workshop."""


@dataclass(frozen=True)
class Population:
    """The session of each role and of a stranger, and what each parameter of an address means."""

    sessions: Mapping[Role, str]
    stranger: str
    ids: Mapping[str, Any]


def populate() -> Population:
    """Make it."""
    shop = a_workshop(name="Populated", **NAMED)
    people = {role: a_member(shop, role) for role in Role}
    elsewhere = a_workshop(name="Elsewhere")
    return Population(
        sessions={role: session_of(person) for role, person in people.items()},
        stranger=session_of(a_member(elsewhere, Role.OWNER)),
        ids={
            **rows_of_orders(shop),
            **rows_of_the_shop(shop, people),
            **rows_of_costing(shop),
            **rows_of_labour(shop),
            **CODES,
        },
    )


def session_of(person: User) -> str:
    """The session of a person who is signed in."""
    client = Client()
    client.force_login(person)
    return client.cookies["sessionid"].value


CODES = {
    "joint-book": "mortise-tenon",
    "type": "mortise-tenon",
    "stage": Stage.QUOTED.value,
    "uidb64": "MQ",
    "token": "set-password",
    "shelf": "boards",
    "pattern": "table",
    "joint-types": "mortise-tenon",
}


def rows_of_orders(shop: Any) -> dict[str, Any]:
    """An enquiry with everything in it."""
    edition = first_edition(shop)
    commission = a_commission(shop, client=a_client(shop))
    assembly = an_assembly(commission)
    joint = a_joint(assembly)
    extra = extra_work(assembly)
    kept = keep_pattern(assembly, name="Own", free={"length": 600.0}, follows=[])
    return {
        "own_pattern": kept.pk,
        "clients": commission.client_id,
        "commissions": commission.pk,
        "assemblies": assembly.pk,
        "parts": joint.part_a_id,
        "joints": joint.pk,
        "extra-work": extra.pk,
        "work": extra.pk,
        "standards": edition.pk,
    }


def rows_of_the_shop(shop: Any, people: Mapping[Role, User]) -> dict[str, Any]:
    """Stations, hands, a plan with a booking, a clocking, a job."""
    now = timezone.now()
    week = a_calendar(shop)
    bench = a_station(shop, calendar=week)
    hand = a_hand(shop, calendar=week, membership=people[Role.HAND].membership)
    operation = an_operation(an_order(shop))
    plan = Plan.objects.create(workshop=shop, number=1, made_at=now, read_at=now, method="by hand")
    hour_ago = now - timedelta(hours=1)
    Booking.objects.create(
        plan=plan, operation=operation, station=bench, hand=hand, starts_at=hour_ago, ends_at=now
    )
    clocking = Clocking.objects.create(
        operation=operation, hand=hand, started_at=hour_ago, ended_at=now
    )
    closure = Closure.objects.create(
        workshop=shop, starts_at=now, ends_at=now + timedelta(days=1), reason="holiday"
    )
    change = PlanChange.objects.create(workshop=shop, said="Plan 1 was put in force", made_at=now)
    token, _ = make_token(people[Role.OWNER].membership, "spreadsheet")
    return {
        "stations": bench.pk,
        "hands": hand.pk,
        "feed": make_feed(hand, by=None, at=now),
        "day-sheets": hand.pk,
        "bench": hand.pk,
        "calendars": week.pk,
        "closures": closure.pk,
        "people": a_member(shop, Role.HAND).membership.pk,
        "tokens": token.pk,
        "plans": plan.pk,
        "other": plan.pk,
        "changes": change.pk,
        "plan-changes": change.pk,
        "scenarios": Scenario.objects.create(workshop=shop, name="A second saw").pk,
        "clock": operation.pk,
        "operations": operation.pk,
        "time-book": clocking.pk,
        "clockings": clocking.pk,
        "jobs": Job.objects.create(workshop=shop, kind="plan", id=uuid.uuid4()).pk,
    }


def rows_of_an_accepted_quote(shop: Any) -> dict[str, Any]:
    """Its first invoice, the client's link to it, and a question they asked."""
    commission = a_commission(shop)
    a_joint(an_assembly(commission))
    now = timezone.now()
    quote = issue(
        draft_quote(commission, by=None, on=timezone.localdate()),
        by=None,
        at=now,
        paper=lambda quote, said: b"%PDF-",
    )
    accept(quote, name="A. Byrne", by=None, at=now)
    link, secret = make_link(quote, by=None, at=now)
    question = ask(link, name="A. Byrne", text="Is it oak?", at=now)
    invoice = issue_invoice(quote, by=None, at=now, paper=lambda said, workshop: b"%PDF-")
    return {"invoices": invoice.pk, "secret": secret, "questions": question.pk}


def rows_of_labour(shop: Any) -> dict[str, Any]:
    """A fit with a doubtful clocking, and a change of working that it found."""
    now = timezone.now()
    clocking = Clocking.objects.of(shop).select_related("operation", "hand").first()
    fit = LabourFit.objects.create(
        workshop=shop,
        edition=first_edition(shop),
        digest="",
        made_at=now,
        clockings=1,
        left_out=0,
        spreads={},
        kept=packed(learn([])),
    )
    doubt = DoubtfulClocking.objects.create(
        fit=fit,
        operation=clocking.operation,
        hand=clocking.hand,
        minutes=60,
        expected_min=5,
        chance_wrong=0.9,
    )
    change = LabourChange.objects.create(
        workshop=shop, operation="chop-mortise", method="hand", on=now.date(), at=now
    )
    cell = LearnedCell.objects.create(
        fit=fit,
        operation="chop-mortise",
        method="hand",
        clockings=1,
        effective=1,
        weight=0.5,
        **{f"{part}_{end}": 1.0 for part in ("each", "setup") for end in ("ratio", "low", "high")},
    )
    foretold = ForetoldOrder.objects.create(
        fit=fit,
        commission=clocking.operation.commission,
        on=now.date(),
        mean_h=3,
        sd_h=1,
        actual_h=4,
    )
    effect = HandEffect.objects.create(fit=fit, hand=clocking.hand, factor=1, low=0.9, high=1.1)
    charge = Charge.objects.create(
        commission=clocking.operation.commission,
        kind="outwork",
        label="Turning",
        quantity=1,
        unit_price=80,
        quoted_price=80,
        on=now.date(),
    )
    return {
        "charges": charge.pk,
        "doubts": doubt.pk,
        "changes": change.pk,
        "cells": cell.pk,
        "effects": effect.pk,
        "foretold": foretold.pk,
    }


def rows_of_costing(shop: Any) -> dict[str, Any]:
    """Rates, a rack, and a quote that is drafted."""
    edition = rates_for(shop)
    a_rack(shop)
    commission = a_commission(shop)
    a_joint(an_assembly(commission))
    sheet = Sheet.objects.create(
        workshop=shop, species="birch plywood", thickness_mm=9, price_per_m2=20
    )
    quote: Quote = draft_quote(commission, by=None, on=timezone.localdate())
    return {
        "quotes": quote.pk,
        **rows_of_an_accepted_quote(shop),
        "rate-book": edition.pk,
        "rack": Board.objects.of(shop).first().pk,
        "boards": Board.objects.of(shop).last().pk,
        "glues": Glue.objects.of(shop).first().pk,
        "sheets": sheet.pk,
        "allowances": TimberAllowance.objects.create(workshop=shop).pk,
        "rate-editions": edition.pk,
        "extra-costs": add_extra_cost(
            commission, kind="finish", label="Oil", unit_price=Decimal(12)
        ).pk,
        "what-ifs": add_what_if(commission, name="Two", supposition=Supposition(quantity=2)).pk,
    }
