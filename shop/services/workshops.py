"""Workshops: founding one, and changing its own settings."""

from __future__ import annotations

from collections import Counter
from functools import cache
from typing import Any

from babel.numbers import is_currency
from django.db import transaction

from orders.core.errors import RuleBroken
from orders.core.times import StationKind, starting_times
from orders.services.standards import first_edition
from shop.core.plan.prices import Measure, one_after_another
from shop.core.roles import Role
from shop.models import Membership, User, Workshop

from .calendars import add_calendar, usual_week
from .outwork import require_rounds
from .stations import require_valid, set_fields

SETTINGS = {
    "name",
    "currency",
    "unit",
    "time_zone",
    "address",
    "email",
    "phone",
    "tax_number",
    "quote_terms",
    "quote_valid_days",
    "plans_itself",
    "batch_pieces",
    "outwork_days",
    "allows_minding",
    "light_operations",
    "outwork_leaves_on",
    "outwork_leaves_at",
    "outwork_returns_on",
    "outwork_returns_at",
    "plans_by",
    "measure_order",
    "late_order_price",
    "overtime_price",
    "setup_price",
    "in_progress_price",
    "idle_price",
}


@transaction.atomic
def found_workshop(name: str, owner: User, **settings: Any) -> Workshop:
    """A workshop that can be used at once: its owner, a usual week, a first edition of times.

    Raises RuleBroken for a setting that cannot be.
    """
    workshop = Workshop(name=name.strip())
    set_fields(workshop, settings, SETTINGS)
    _require_sound(workshop)
    workshop.save()
    Membership.objects.create(workshop=workshop, user=owner, role=Role.OWNER)
    add_calendar(workshop, name="Usual week", hours=usual_week())
    first_edition(workshop, by=owner)
    return workshop


@transaction.atomic
def change_workshop(workshop: Workshop, *, version: int | None = None, **settings: Any) -> Workshop:
    """Change the workshop's own settings.

    Raises RuleBroken for a setting that cannot be, Stale if somebody else changed it meanwhile.
    """
    workshop = Workshop.objects.select_for_update().get(pk=workshop.pk)
    workshop.require_version(version)
    set_fields(workshop, settings, SETTINGS)
    _require_sound(workshop)
    workshop.save_next()
    return workshop


def _require_sound(workshop: Workshop) -> None:
    if not workshop.name:
        raise RuleBroken("name", "Give the workshop a name.")
    if not is_currency(workshop.currency):
        raise RuleBroken("currency", "Write the currency by its three letters, as EUR or GBP.")
    _require_order(workshop)
    _require_light(workshop)
    require_rounds(workshop)
    require_valid(workshop)


def _require_order(workshop: Workshop) -> None:
    """Raises RuleBroken for measures that cannot come one after another."""
    unknown = set(workshop.measure_order) - set(Measure)
    if unknown:
        raise RuleBroken("measure_order", f"A measure is one of {', '.join(Measure)}.")
    try:
        one_after_another([Measure(name) for name in workshop.measure_order])
    except RuleBroken as fault:
        raise RuleBroken("measure_order", fault.message) from None


def _require_light(workshop: Workshop) -> None:
    """Raises RuleBroken for an operation that is not done at the bench."""
    if unknown := set(workshop.light_operations) - set(handwork()):
        raise RuleBroken(
            "light_operations",
            f"“{min(unknown)}” is no work at the bench; choose from {', '.join(sorted(handwork()))}.",
        )


@cache
def handwork() -> dict[str, str]:
    """What is done at a bench, its usual name by its code, in the order of the names."""
    names: dict[str, Counter[str]] = {}
    for row in starting_times().rows:
        if row.station_kind is StationKind.BENCH:
            names.setdefault(row.operation, Counter())[row.label] += 1
    usual = {code: found.most_common(1)[0][0] for code, found in names.items()}
    return dict(sorted(usual.items(), key=lambda pair: pair[1]))
