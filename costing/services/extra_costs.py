"""Finish, outwork, delivery and sundries of a commission: kept with it, read by its estimate."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from costing.core.estimate import ExtraKind, ExtraLine
from costing.models import ExtraCost
from orders.core.errors import RuleBroken, RulesBroken
from orders.models import Commission
from orders.services.holding import fresh, hold_open


@transaction.atomic
def add_extra_cost(commission: Commission, **fields: Any) -> ExtraCost:
    """Add a line; without an assembly it is for the whole commission.

    Raises NotNow if the breakdown is frozen, RulesBroken for what it cannot be, by its field.
    """
    row = ExtraCost(commission=hold_open(commission.pk), **fields)
    check(row)
    row.save()
    return row


@transaction.atomic
def change_extra_cost(row: ExtraCost, *, version: int | None = None, **fields: Any) -> ExtraCost:
    """Change the fields given; raises Stale if it was changed since, and as adding does."""
    commission = hold_open(row.commission_id)
    row = fresh(row, version)
    row.commission = commission
    for name, value in fields.items():
        setattr(row, name, value)
    check(row)
    row.save_next()
    return row


@transaction.atomic
def remove_extra_cost(row: ExtraCost, *, version: int | None = None) -> None:
    """Take a line away; raises Stale if it was changed since `version`."""
    hold_open(row.commission_id)
    fresh(row, version).delete()


def check(row: ExtraCost) -> None:
    """Raise RulesBroken for every field that makes no sense."""
    faults: list[RuleBroken] = []
    try:
        row.full_clean()
    except ValidationError as error:
        faults = [
            RuleBroken(name, sentence)
            for name, sentences in error.message_dict.items()
            for sentence in sentences
        ]
    if row.assembly and row.assembly.commission_id != row.commission_id:
        faults.append(RuleBroken("assembly", "Choose an assembly of this commission."))
    if faults:
        raise RulesBroken(faults)


def extra_lines(rows: Iterable[ExtraCost]) -> tuple[ExtraLine, ...]:
    """The lines as the estimate reads them."""
    return tuple(
        ExtraLine(
            key=f"cost-{row.pk}",
            label=row.label,
            unit_price=row.unit_price,
            kind=ExtraKind(row.kind),
            quantity=row.quantity,
            unit=row.unit,
            assembly=str(row.assembly_id) if row.assembly_id else "",
            spread=row.spread,
        )
        for row in rows
    )
