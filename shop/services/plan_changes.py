"""Changes of the plan, written down as they are made, taken back one after another and made again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from orders.core.errors import NotNow
from orders.models import Operation
from shop.models import Booking, Clocking, Hand, Pin, Plan, PlanChange, Station, User, Workshop

KEPT_CHANGES = 60
SHOWN = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What the shop works to at a moment: the plan in force, and every pin."""

    plan: Plan | None
    pins: Sequence[Mapping[str, Any]]

    @classmethod
    def of(cls, workshop: Workshop) -> Standing:
        """As it is now."""
        plan = Plan.objects.of(workshop).in_force().first()
        return cls(plan=plan, pins=_pins(workshop))


def record(
    workshop: Workshop, before: Standing, *, said: str, by: User | None, at: datetime
) -> PlanChange | None:
    """Write down what was changed since `before`; None where nothing was."""
    now = Standing.of(workshop)
    if (now.plan, now.pins) == (before.plan, before.pins):
        return None
    made: PlanChange = PlanChange.objects.create(
        workshop=workshop,
        said=said[:240],
        before=before.plan,
        after=now.plan,
        number_before=before.plan.number if before.plan else None,
        number_after=now.plan.number if now.plan else None,
        pins_before=list(before.pins),
        pins_after=list(now.pins),
        made_at=at,
        made_by=by,
    )
    return made


def put_in_force(plan: int, before: int | None) -> str:
    """What is said of a plan that takes the place of another, by their numbers."""
    return f"Plan {plan} was put in force in place of plan {before}"


def add_plan(change: PlanChange, plan: Plan) -> None:
    """The plan that was put in force as part of a change; one of plans alone says which."""
    if not change.moves_pins:
        change.said = put_in_force(plan.number, change.number_before)
    change.after, change.number_after = plan, plan.number
    change.save(update_fields=["said", "after", "number_after"])


def change_to(plan: Plan) -> PlanChange | None:
    """The last change, if it is the one that put a plan in force."""
    last = last_change(plan.workshop)
    return last if last is not None and last.after_id == plan.pk else None


def change_that_pinned(operation: Operation) -> PlanChange | None:
    """The change that pinned an operation as it is pinned now, if it moved the plan."""
    pin = Pin.objects.filter(operation=operation).first()
    if pin is None:
        return None
    rows = PlanChange.objects.of(operation.commission.workshop).filter(undone_at=None)
    row = next(
        (
            r
            for r in rows
            if _of(r.pins_before, pin.operation_id) != _of(r.pins_after, pin.operation_id)
        ),
        None,
    )
    return row if row is not None and row.moves_the_plan else None


def change_since(workshop: Workshop, at: datetime) -> PlanChange | None:
    """The first change of the plan since an instant that set no pin, if it stands."""
    rows = PlanChange.objects.of(workshop).filter(made_at__gte=at).order_by("pk")
    row = next((row for row in rows if not row.moves_pins), None)
    return row if row is not None and row.undone_at is None else None


def last_change(workshop: Workshop) -> PlanChange | None:
    """The change that would be taken back next; None where there is none."""
    return at_hand(workshop)[0]


def next_again(workshop: Workshop) -> PlanChange | None:
    """The change that would be made again next: the last one taken back, if nothing was done since."""
    return at_hand(workshop)[1]


def at_hand(workshop: Workshop) -> tuple[PlanChange | None, PlanChange | None]:
    """The change that would be taken back next, and the one that would be made again next."""
    rows = PlanChange.objects.of(workshop).select_related("made_by", "undone_by")
    found: list[PlanChange] = list(rows.defer("pins_before", "pins_after")[:KEPT_CHANGES])
    last = next((row for row in found if row.undone_at is None), None)
    back = [row for row in found if row.undone_at and row.undone_at > found[0].made_at]
    return last, back[-1] if back else None


def history(workshop: Workshop) -> list[PlanChange]:
    """The latest changes, the newest first, those that were taken back among them."""
    rows = PlanChange.objects.of(workshop).select_related("made_by", "undone_by")
    return list(rows[:SHOWN])


@transaction.atomic
def undo(change: PlanChange, *, by: User | None, at: datetime) -> PlanChange:
    """Take the last change back: the plan before it is in force again, with the pins as they were.

    A plan that was adopted is a proposal again.
    Raises NotNow if something else was changed since, if the plan before is no longer kept, or if
    work that the change moved was begun since.
    """
    workshop = Workshop.objects.select_for_update().get(pk=change.workshop_id)
    last = last_change(workshop)
    if last is None or last.pk != change.pk:
        raise NotNow("This is not the last change any more. Take back what came after it first.")
    change = last
    if change.moves_the_plan and change.before is None:
        raise NotNow(
            f"Plan {change.number_before} is no longer kept, so this cannot be taken back."
            " Plan again, or pin what should be elsewhere."
        )
    _require_unbegun(change, since=change.made_at)
    if change.moves_pins:
        put_pins(workshop, change.pins_before, since=change.made_at)
    if change.moves_the_plan and change.before is not None:
        _put_back(change.before, was_adopted=not change.moves_pins, by=by, at=at)
    change.undone_at, change.undone_by = at, by
    change.save(update_fields=["undone_at", "undone_by"])
    return change


@transaction.atomic
def redo(change: PlanChange, *, by: User | None, at: datetime) -> PlanChange:
    """Make the change again that was taken back last: its plan in force, its pins set.

    Raises NotNow if it is not the next one to make again, if its plan is no longer kept, or if work
    that it moves was begun since.
    """
    workshop = Workshop.objects.select_for_update().get(pk=change.workshop_id)
    following = next_again(workshop)
    if following is None or following.pk != change.pk:
        raise NotNow(
            "This cannot be made again: it stands, something else was changed since,"
            " or what was taken back after it comes first."
        )
    change = following
    if change.moves_the_plan and change.after is None:
        raise NotNow(
            f"Plan {change.number_after} is no longer kept, so this cannot be made again."
            " Plan again, or pin what should be elsewhere."
        )
    since = change.undone_at or change.made_at
    _require_unbegun(change, since=since)
    if change.moves_pins:
        put_pins(workshop, change.pins_after, since=since)
    if change.moves_the_plan and change.after is not None:
        _put_back(change.after, was_adopted=False, by=by, at=at)
    change.undone_at, change.undone_by = None, None
    change.save(update_fields=["undone_at", "undone_by"])
    return change


def tidy() -> int:
    """Throw away all but the newest changes of each workshop."""
    gone = 0
    for workshop in Workshop.objects.order_by("pk"):
        rows = PlanChange.objects.of(workshop)
        old = list(rows.values_list("pk", flat=True)[KEPT_CHANGES:])
        gone += len(old)
        PlanChange.objects.filter(pk__in=old).delete()
    return gone


def _put_back(plan: Plan, *, was_adopted: bool, by: User | None, at: datetime) -> None:
    plans = Plan.objects.filter(workshop=plan.workshop_id)
    offered = plans.filter(state=Plan.State.PROPOSED).exists()
    state = Plan.State.PROPOSED if was_adopted and not offered else Plan.State.SUPERSEDED
    plans.in_force().update(state=state)
    plan.state, plan.adopted_at, plan.adopted_by = Plan.State.ADOPTED, at, by
    plan.save(update_fields=["state", "adopted_at", "adopted_by"])


def _require_unbegun(change: PlanChange, *, since: datetime) -> None:
    """Raises NotNow where somebody began what would go elsewhere again."""
    begun = Clocking.objects.of(change.workshop).filter(started_at__gte=since)
    pks = set(begun.values_list("operation", flat=True))
    moved = {pin["operation"] for pin in [*change.pins_before, *change.pins_after]} & pks
    moved = {pk for pk in moved if _of(change.pins_before, pk) != _of(change.pins_after, pk)}
    if change.moves_the_plan:
        places = [
            dict[int, Any](
                (row[0], row[1:])
                for row in Booking.objects.filter(plan=plan, operation__in=pks).values_list(
                    "operation", "station", "hand", "starts_at"
                )
            )
            for plan in (change.before, change.after)
        ]
        moved |= {pk for pk in pks if places[0].get(pk) != places[1].get(pk)}
    if moved:
        name = Operation.objects.filter(pk__in=moved).order_by("pk")[0].name
        raise NotNow(
            f"“{name}” was begun since, and this change moves it; the shop floor has gone on."
            " Plan again, or pin what should be elsewhere."
        )


def _of(pins: Sequence[Mapping[str, Any]], operation: int) -> Mapping[str, Any] | None:
    return next((pin for pin in pins if pin["operation"] == operation), None)


def _pins(workshop: Workshop) -> list[dict[str, Any]]:
    rows = Pin.objects.of(workshop).order_by("operation")
    return [
        {
            "operation": pin.operation_id,
            "station": pin.station_id,
            "hand": pin.hand_id,
            "starts_at": pin.starts_at.isoformat() if pin.starts_at else None,
            "changed_at": pin.changed_at.isoformat(),
            "made_by": pin.made_by_id,
        }
        for pin in rows
    ]


def put_pins(workshop: Workshop, wanted: Sequence[Mapping[str, Any]], *, since: datetime) -> None:
    """Set these pins and no others, but for what is done or no longer there.

    Where that changes any, proposals made `since` then know other pins and are thrown away.
    """
    if list(wanted) == _pins(workshop):
        return
    Plan.objects.of(workshop).filter(state=Plan.State.PROPOSED, read_at__gte=since).delete()
    open_work = set(
        Operation.objects.of(workshop)
        .open()
        .filter(pk__in=[pin["operation"] for pin in wanted])
        .values_list("pk", flat=True)
    )
    stations = set(Station.objects.of(workshop).values_list("pk", flat=True))
    hands = set(Hand.objects.of(workshop).values_list("pk", flat=True))
    members = set(User.objects.values_list("pk", flat=True))
    Pin.objects.of(workshop).delete()
    for pin in wanted:
        if pin["operation"] not in open_work:
            continue
        station = pin["station"] if pin["station"] in stations else None
        hand = pin["hand"] if pin["hand"] in hands else None
        at = datetime.fromisoformat(pin["starts_at"]) if pin["starts_at"] else None
        if station is None and hand is None and at is None:
            continue
        row = Pin.objects.create(
            operation_id=pin["operation"],
            station_id=station,
            hand_id=hand,
            starts_at=at,
            made_by_id=pin["made_by"] if pin["made_by"] in members else None,
        )
        # As old as it was: a plan made after it still knows it.
        Pin.objects.filter(pk=row.pk).update(changed_at=datetime.fromisoformat(pin["changed_at"]))
