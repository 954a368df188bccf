"""What people say of the clockings: this one is wrong, from that day on we work otherwise."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from costing.models import ClockingJudgement, DoubtfulClocking, LabourChange
from costing.services.clocked import row_of, rows_by_cell
from costing.services.learning import ask_to_learn
from orders.core.errors import RuleBroken
from orders.core.times import Method
from orders.services.standards import current_edition, times_of
from shop.models import User, Workshop

MOST_NOTE = 200


@transaction.atomic
def judge(
    doubt: DoubtfulClocking, *, is_sound: bool, by: User | None, at: datetime, note: str = ""
) -> ClockingJudgement:
    """Say that a doubtful clocking is right after all, or wrong; it is kept either way.

    A wrong one is not learned from any more, a sound one counts in full, as long as its minutes
    stay. Raises RuleBroken for a note that is too long.
    """
    _require_short(note)
    said, _ = ClockingJudgement.objects.update_or_create(
        operation=doubt.operation,
        hand=doubt.hand,
        defaults={
            "minutes": doubt.minutes,
            "is_sound": is_sound,
            "note": note.strip(),
            "by": by,
            "at": at,
        },
    )
    ask_to_learn(doubt.fit.workshop, by=by)
    return said


@transaction.atomic
def mark_change(
    workshop: Workshop,
    *,
    joint: str,
    operation: str,
    method: str,
    on: date,
    by: User | None,
    at: datetime,
    note: str = "",
) -> LabourChange:
    """Say that an operation goes otherwise from a day on: a new jig, a new machine.

    What was found for that day becomes marked. Raises RuleBroken where the standard times have no
    such operation, and for a day to come.
    """
    _require_short(note)
    rows = rows_by_cell(times_of(current_edition(workshop)))
    names = {(row.operation, row.method.value) for row in rows.values()}
    if method not in set(Method):
        raise RuleBroken("method", "Choose by hand, by machine or both.")
    if joint and row_of(rows, joint, operation, method) is None:
        raise RuleBroken("operation", "The standard times have no such operation on this joint.")
    if (operation, method) not in names:
        raise RuleBroken("operation", "The standard times have no such operation.")
    if on > at.date():
        raise RuleBroken("on", "This day has not come; mark a change when it has been made.")
    change, _ = LabourChange.objects.update_or_create(
        workshop=workshop,
        joint=joint,
        operation=operation,
        method=method,
        on=on,
        defaults={
            "state": LabourChange.State.MARKED,
            "note": note.strip(),
            "by": by,
            "at": at,
        },
    )
    ask_to_learn(workshop, by=by)
    return change


@transaction.atomic
def settle_change(
    change: LabourChange, *, is_real: bool, by: User | None, at: datetime
) -> LabourChange:
    """Confirm a change that was found, or refuse one; a refused one is not found again."""
    change.state = LabourChange.State.MARKED if is_real else LabourChange.State.REFUSED
    change.by, change.at = by, at
    change.save(update_fields=["state", "by", "at"])
    ask_to_learn(change.workshop, by=by)
    return change


def _require_short(note: str) -> None:
    if len(note) > MOST_NOTE:
        raise RuleBroken("note", f"Write at most {MOST_NOTE} characters.")
