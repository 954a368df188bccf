"""Releasing a commission: its breakdown is frozen and its operations go to the bench."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.db import transaction
from django.db.models import F

from orders.core.errors import NotNow, NotReady
from orders.core.exposure import clamp_times_min
from orders.core.stages import LABELS, Stage
from orders.models import Commission, Operation

from .breakdown import breakdown
from .commissions import write_move
from .holding import hold
from .standards import current_times
from .working_order import Step, working_order

if TYPE_CHECKING:
    from shop.models import User

MOST_PIECES = 1_000_000
GONE = (Operation.State.DONE, Operation.State.DROPPED)

LINK: Any = Operation.after.through
"""Rows of "comes after"; the table has no class of its own that could be named as its type."""


@transaction.atomic
def release(commission: Commission, *, by: User | None) -> list[Operation]:
    """Freeze the breakdown, write its operations in working order and put it in work.

    Raises NotNow unless the commission is accepted, NotReady when there is nothing to do, when an
    operation has too many pieces, or when parts and joints break their rules.
    """
    commission = hold(commission.pk)
    _require_accepted(commission)
    steps = steps_of(commission)
    operations = _store(commission, steps)
    write_move(commission, Stage.IN_WORK, by=by, note="Released to the bench")
    return operations


def steps_of(commission: Commission) -> list[Step]:
    """The operations that a commission would have if it were released now, in working order.

    Raises NotReady as `release` does.
    """
    lines = breakdown(commission, current_times(commission.workshop))
    steps = working_order(lines, cure_min=clamp_times_min()[lines.glue_class])
    _require_work(commission, steps)
    return steps


@transaction.atomic
def settle_states(commission: Commission) -> int:
    """Let `ready` and `waiting` follow from what is done; how many operations changed.

    To be called when an operation was finished, dropped or taken back. Curing is a matter of the
    clock and is left to whoever asks when work may begin.
    """
    mine = Operation.objects.filter(commission=commission)
    # Asked once and not of each operation: a database without statistics plans the latter badly.
    held_up = (
        LINK.objects.filter(from_operation__commission=commission)
        .exclude(to_operation__state__in=GONE)
        .values("from_operation")
    )
    freed = (
        mine.filter(state=Operation.State.WAITING)
        .exclude(pk__in=held_up)
        .update(state=Operation.State.READY, version=F("version") + 1)
    )
    held = mine.filter(state=Operation.State.READY, pk__in=held_up).update(
        state=Operation.State.WAITING, version=F("version") + 1
    )
    return int(freed + held)


def _require_accepted(commission: Commission) -> None:
    if commission.operations.exists():
        raise NotNow(f"{commission.mark} was released already.")
    if commission.stage != Stage.ACCEPTED:
        now = LABELS[Stage(commission.stage)]
        raise NotNow(f"Only an accepted commission can be released; {commission.mark} is “{now}”.")


def _require_work(commission: Commission, steps: list[Step]) -> None:
    if not steps:
        raise NotReady(
            f"There is nothing to do in {commission.mark}: add joints, or work such as planing up."
        )
    if not any(step.minutes for step in steps):
        raise NotReady(
            f"The work in {commission.mark} takes no time: give its operations minutes, or its"
            " assemblies parts."
        )
    for step in steps:
        if step.pieces > MOST_PIECES:
            raise NotReady(
                f"“{step.name}” would be done {step.pieces:,} times: check the quantities."
            )


def _store(commission: Commission, steps: list[Step]) -> list[Operation]:
    operations: list[Operation] = Operation.objects.bulk_create(
        Operation(
            commission=commission,
            assembly_id=step.assembly,
            joint_id=step.joint,
            extra_id=step.extra,
            number=number,
            code=step.timed.code,
            name=step.name[:160],
            method=step.timed.method.value,
            station_kind=step.timed.station_kind.value,
            skill=step.timed.skill.value,
            pieces=step.pieces,
            setup_min=step.timed.setup_min,
            each_min=step.timed.each_min,
            spread=step.timed.spread,
            cure_min=step.cure_min,
            hold_to=step.timed.hold_to,
            caution=step.timed.caution,
            state=Operation.State.WAITING if step.after else Operation.State.READY,
        )
        for number, step in enumerate(steps, start=1)
    )
    LINK.objects.bulk_create(
        LINK(from_operation_id=operation.pk, to_operation_id=operations[place].pk)
        for operation, step in zip(operations, steps, strict=True)
        for place in sorted(step.after)
    )
    return operations
