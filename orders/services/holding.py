"""Holding rows while they change, so that two people cannot change one commission at once."""

from __future__ import annotations

from typing import TypeVar

from orders.core.errors import Stale
from orders.models import Commission
from orders.models.owned import Versioned

Row = TypeVar("Row", bound=Versioned)


def hold(commission_id: int) -> Commission:
    """The commission as it stands, locked until the transaction ends."""
    found: Commission | None = (
        Commission.objects.select_for_update(of=("self",))
        .select_related("workshop", "client")
        .filter(pk=commission_id)
        .first()
    )
    if found is None:
        raise _gone()
    return found


def hold_open(commission_id: int) -> Commission:
    """The same, of a commission whose breakdown may still change; raises NotNow otherwise."""
    commission = hold(commission_id)
    commission.require_open()
    return commission


def fresh(row: Row, version: int | None = None) -> Row:
    """The row as it stands now that its commission is held.

    Raises Stale if it was removed, or if it is no longer at `version`.
    """
    found: Row | None = type(row).objects.filter(pk=row.pk).first()
    if found is None:
        raise _gone()
    found.require_version(version)
    return found


def _gone() -> Stale:
    return Stale("Somebody removed this while you had it open. Go back and read the list again.")
