"""Moving an operation: the pin, the plan round it, and the change that can be taken back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from orders.core.errors import WorkshopError
from orders.models import Operation
from shop.models import Plan, PlanChange, User, Workshop

from . import planning
from .pins import Wish, keep_pin, take_out
from .plan_changes import Standing, change_that_pinned, record, redo


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """The plan round a change, or the sentence that says why there is none."""

    plan: Plan | None
    fault: str = ""


def move(operation: Operation, wish: Wish, *, by: User | None, now: datetime) -> Fitted:
    """Keep a wish as a pin, and the plan that was looked at with it; none without one in force.

    Raises as `pins.consequence` does.
    """
    workshop = operation.commission.workshop
    with transaction.atomic():
        before = Standing.of(workshop)
        looked = keep_pin(operation, wish, by=by, now=now)
        where = place_in_words(wish, looked.zone)
        said = f"“{operation.name}” of {operation.commission.mark} was pinned {where}"
        change = record(workshop, before, said=said, by=by, at=now)
        if not looked.known:
            return Fitted(plan=None)
        asked = planning.Asked(
            problem=looked.after,
            known=looked.known,
            start=looked.known,
            zone=looked.zone,
            read_at=now,
            standing=Standing.of(workshop),
        )
        plan = planning.offer(workshop, asked, looked.would, by=by, within=change)
    return Fitted(plan=plan)


def give_back(operation: Operation, *, by: User | None, now: datetime) -> Fitted:
    """Take an operation's pin out and fit the plan; without a pin only the plan is fitted.

    What was moved by the pin goes back, as far as that can be.
    """
    workshop = operation.commission.workshop
    with transaction.atomic():
        before = Standing.of(workshop)
        pinned = change_that_pinned(operation)
        take_out(operation)
        said = f"The pin of “{operation.name}” of {operation.commission.mark} was taken out"
        change = record(workshop, before, said=said, by=by, at=now)
    return fit(workshop, by=by, within=change, without=pinned)


def make_again(change: PlanChange, *, by: User | None, now: datetime) -> Fitted:
    """Make a change again that was taken back; where it only set pins, the plan is fitted to them.

    Raises as `plan_changes.redo` does.
    """
    change = redo(change, by=by, at=now)
    if change.moves_the_plan:
        return Fitted(plan=change.after)
    return fit(change.workshop, by=by, within=change)


def fit(
    workshop: Workshop,
    *,
    by: User | None,
    within: PlanChange | None = None,
    without: PlanChange | None = None,
) -> Fitted:
    """The plan in force fitted to what has changed, or why that cannot be."""
    try:
        return Fitted(plan=planning.repair(workshop, by=by, within=within, without=without))
    except WorkshopError as error:
        return Fitted(plan=None, fault=str(error))


def place_in_words(wish: Wish, zone: ZoneInfo) -> str:
    """Where a wish wants an operation, as a sentence goes on."""
    at = wish.starts_at.astimezone(zone) if wish.starts_at else None
    parts = [
        f"at {wish.station}" if wish.station else "",
        f"with {wish.hand}" if wish.hand else "",
        f"to {at:%a %-d %b %H:%M}" if at else "",
    ]
    return ", ".join(part for part in parts if part)
