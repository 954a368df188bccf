"""Clocking: a hand starts, pauses and finishes operations; a foreman corrects."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Max, Q
from django.utils import timezone

from orders.core.errors import NotNow, RuleBroken
from orders.core.stages import LABELS, Stage
from orders.models import Commission, Operation
from orders.services.release import settle_states
from orders.services.telling import tell_planner
from shop.core.minding import WHOLE, Attention, Share, share_at
from shop.core.roles import Role
from shop.models import Clocking, ClockingCorrection, Hand, Plan, Station, User

from .waiting import waits_of

SLACK = timedelta(minutes=2)
"""How far the clock at the bench may run ahead of ours."""


@transaction.atomic
def start(
    operation: Operation,
    hand: Hand,
    *,
    at: datetime,
    key: UUID | None = None,
    station: Station | None = None,
    by: User | None = None,
) -> Clocking:
    """Begin work of `hand` on `operation`; what the hand was doing is paused at the same instant.

    Where the workshop allows it, a minded run and light work beside it go on together. The same
    `key` twice gives the same clocking. Raises RuleBroken for an instant that cannot be and NotNow
    if the operation cannot be begun now, naming what comes before it.
    """
    hand = _locked(hand)
    running = _running(hand, operation.pk)
    operation = _now(operation.pk)
    station = station or _usual_station(operation)
    share = share_of(operation, station)
    again = Clocking.objects.filter(key=key).first() if key else None
    if again is not None:
        return _same_start(again, operation, hand)
    _require_own(hand, by)
    _require_at_work(operation, hand, station)
    if any(one.operation_id == operation.pk for one in running):
        raise NotNow(f"{hand} is already working on “{operation.name}”. There is nothing to start.")
    _require_in_order(hand, at)
    _require_startable(operation, at)
    for one in running:
        if not one.share.goes_with(share):
            _end(one, at=at, pieces=0)
    clocking: Clocking = Clocking.objects.create(
        operation=operation,
        hand=hand,
        station=station,
        attention=share.attention.value,
        area=share.area,
        key=key or uuid4(),
        started_at=at,
    )
    _settle(operation, at)
    return clocking


@transaction.atomic
def pause(hand: Hand, *, at: datetime, pieces: int = 0) -> Clocking:
    """End what the hand is doing; `pieces` were finished in this stretch.

    Of two things at once it is the light work; the machine runs on. Repeating the same call
    changes nothing. Raises NotNow if nothing is running.
    """
    hand = _locked(hand)
    running = _running(hand)
    if running:
        return _end(running[0], at=at, pieces=pieces)
    ended = _ended(hand, at, pieces)
    if ended is None:
        raise NotNow(f"{hand} has no work running. Start it first.")
    return ended


@transaction.atomic
def finish(operation: Operation, hand: Hand, *, at: datetime, pieces: int) -> Clocking:
    """End the hand's work on `operation` with so many pieces done in this stretch.

    With all its pieces the operation is done and what follows it may begin; with fewer it is
    paused for the rest. Repeating the same call changes nothing. Raises NotNow if the hand is not
    working on it, RuleBroken if there are not so many pieces.
    """
    hand = _locked(hand)
    running = _running(hand)
    mine = next((one for one in running if one.operation_id == operation.pk), None)
    if mine is not None:
        return _end(mine, at=at, pieces=pieces)
    ended = _ended(hand, at, pieces, operation)
    if ended is None and running:
        raise NotNow(
            f"{hand} is working on {_named(running)}, not on “{operation.name}”. Pause that first."
        )
    if ended is None:
        raise NotNow(f"{hand} has no work running on “{operation.name}”. Start it first.")
    return ended


@transaction.atomic
def correct(
    clocking: Clocking,
    *,
    by: User | None,
    reason: str,
    started_at: datetime,
    ended_at: datetime | None,
    pieces: int,
    at: datetime,
    version: int | None = None,
) -> Clocking:
    """Change a clocking and keep what it said before.

    Raises RuleBroken without a reason, for an impossible stretch, for one that overlaps another of
    the same hand that did not go with it, or for more pieces than there are; NotNow if a finished
    clocking would run again; Stale if somebody else changed it meanwhile.
    """
    hand = _locked(clocking.hand)
    _hold(clocking.operation_id)
    clocking = Clocking.objects.get(pk=clocking.pk)
    clocking.require_version(version)
    if not reason.strip():
        raise RuleBroken("reason", "Say why the clocking is changed; the reason is kept with it.")
    _require_stretch(clocking, hand, started_at, ended_at, at)
    if (started_at, ended_at, pieces) == (clocking.started_at, clocking.ended_at, clocking.pieces):
        return clocking
    ClockingCorrection.objects.create(
        clocking=clocking,
        by=by,
        at=at,
        reason=reason.strip(),
        old_started_at=clocking.started_at,
        old_ended_at=clocking.ended_at,
        old_pieces=clocking.pieces,
    )
    operation = _now(clocking.operation_id)
    _count(operation, pieces, instead_of=clocking.pieces)
    clocking.started_at, clocking.ended_at, clocking.pieces = started_at, ended_at, pieces
    clocking.save_next()
    _settle(operation, ended_at or at)
    return clocking


def _locked(hand: Hand) -> Hand:
    """The hand as it is now; whoever clocks for the same hand waits until we are done."""
    found: Hand = (
        Hand.objects.select_for_update(of=("self",)).select_related("workshop").get(pk=hand.pk)
    )
    return found


def running_of(hand: Hand) -> list[Clocking]:
    """What the hand is doing; of two things at once the light work first, then the minded run."""
    mine = Clocking.objects.running().filter(hand=hand)
    mine = mine.select_related("operation__commission", "station")
    return sorted(mine, key=lambda one: one.share.attention is Attention.MINDED)


def _running(hand: Hand, *also: int) -> list[Clocking]:
    """What the hand is doing, once its commissions and those of the operations `also` are held."""
    mine = Clocking.objects.running().filter(hand=hand)
    _hold(*mine.values_list("operation_id", flat=True), *also)
    return running_of(hand)


def _named(running: Iterable[Clocking]) -> str:
    """Operations in a sentence."""
    return " and ".join(f"“{one.operation.name}” ({one.operation.mark})" for one in running)


def share_of(operation: Operation, station: Station | None) -> Share:
    """What one hand's work on an operation takes of it, as the workshop stands now."""
    workshop = operation.commission.workshop
    if not workshop.allows_minding or station is None:
        return WHOLE
    is_light = workshop.counts_as_light(operation.code, operation.station_kind)
    return share_at(station.area, may_be_left=station.may_be_left, is_light=is_light)


def paused_by(operation: Operation, running: Sequence[Clocking]) -> list[Clocking]:
    """What of a hand's running work a start of an operation would pause."""
    if not operation.commission.workshop.allows_minding or not running:
        return list(running)
    share = share_of(operation, _usual_station(operation))
    return [one for one in running if not one.share.goes_with(share)]


def _hold(*operations: int) -> None:
    """Lock the commissions of these operations, so that one at a time counts and settles there.

    They are locked in one order: two hands who change places do not wait for each other.
    """
    theirs = Operation.objects.filter(pk__in=operations)
    list(
        Commission.objects.filter(pk__in=theirs.values("commission"))
        .order_by("pk")
        .select_for_update()
    )


def _now(pk: int) -> Operation:
    """The operation as it is now."""
    found: Operation = Operation.objects.select_related("commission__workshop").get(pk=pk)
    return found


def _same_start(again: Clocking, operation: Operation, hand: Hand) -> Clocking:
    if (again.operation_id, again.hand_id) != (operation.pk, hand.pk):
        raise RuleBroken("key", "This key belongs to another clocking; make a fresh one.")
    return again


def _ended(
    hand: Hand, at: datetime, pieces: int, operation: Operation | None = None
) -> Clocking | None:
    """The hand's clocking in which this very end is already."""
    ended = Clocking.objects.filter(hand=hand, ended_at=at, pieces=pieces)
    found: Clocking | None = (ended.filter(operation=operation) if operation else ended).first()
    return found


def _require_own(hand: Hand, by: User | None) -> None:
    """Raise NotNow if somebody who only works at the bench clocks for another hand."""
    place = by.membership if by else None
    if place is not None and place.role == Role.HAND and hand.membership_id != place.pk:
        raise NotNow(f"You clock for yourself; {hand} must start this, or the foreman.")


def _require_at_work(operation: Operation, hand: Hand, station: Station | None) -> None:
    home = operation.commission.workshop_id
    if hand.workshop_id != home or (station is not None and station.workshop_id != home):
        raise RuleBroken(
            "operation", "The operation, the hand and the station must be of one shop."
        )
    if not hand.is_in_use:
        raise NotNow(f"{hand} no longer works here. Take the hand into use again first.")
    if station is not None and not station.is_in_use:
        raise NotNow(f"{station} is out of use. Choose another station.")


def _require_startable(operation: Operation, at: datetime) -> None:
    stage = Stage(operation.commission.stage)
    if stage != Stage.IN_WORK:
        raise NotNow(
            f"{operation.commission.mark} is {LABELS[stage].lower()}, not in work."
            " Nothing can be clocked on it."
        )
    if operation.state == Operation.State.DONE:
        raise NotNow(
            f"“{operation.name}” ({operation.mark}) is done. If pieces are missing, have its last"
            " clocking corrected."
        )
    if operation.state == Operation.State.DROPPED:
        raise NotNow(f"“{operation.name}” ({operation.mark}) was dropped; it need not be done.")
    zone = ZoneInfo(operation.commission.workshop.time_zone)
    waits = [] if operation.pieces_done else waits_of(operation, at)
    if waits:
        reasons = "; ".join(wait.words(zone) for wait in waits[:3])
        more = f"; and {len(waits) - 3} more" if len(waits) > 3 else ""
        raise NotNow(f"“{operation.name}” ({operation.mark}) must wait: {reasons}{more}.")


def _require_instant(field: str, at: datetime) -> None:
    if timezone.is_naive(at):
        raise RuleBroken(field, "Give the time with its time zone.")
    if at > timezone.now() + SLACK:
        raise RuleBroken(field, "This time lies in the future. Clock what has happened.")


def _require_in_order(hand: Hand, at: datetime) -> None:
    """Raise RuleBroken for an instant in the future or before the hand's last event."""
    _require_instant("at", at)
    mine = Clocking.objects.filter(hand=hand).aggregate(Max("started_at"), Max("ended_at"))
    last = max(filter(None, mine.values()), default=None)
    if last is not None and at < last:
        when = last.astimezone(ZoneInfo(hand.workshop.time_zone))
        raise RuleBroken(
            "at",
            f"{hand} was last clocked at {when:%H:%M:%S} on {when:%-d %B}; this is earlier."
            " Have the earlier clocking corrected instead.",
        )


def _require_stretch(
    clocking: Clocking, hand: Hand, started_at: datetime, ended_at: datetime | None, at: datetime
) -> None:
    _require_instant("started_at", started_at)
    if ended_at is None and clocking.ended_at is not None:
        raise NotNow("This clocking has ended; give it an end. To go on, start the work again.")
    if ended_at is not None:
        _require_instant("ended_at", ended_at)
        if ended_at < started_at:
            raise RuleBroken("ended_at", "The end must be later than the start.")
    others = Clocking.objects.filter(hand=hand).exclude(pk=clocking.pk)
    others = others.filter(Q(ended_at__isnull=True) | Q(ended_at__gt=started_at))
    if ended_at is not None:
        others = others.filter(started_at__lt=ended_at)
    rows = others.select_related("operation__commission").order_by("started_at")
    other = next((one for one in rows if not one.share.goes_with(clocking.share)), None)
    if other is not None:
        zone = ZoneInfo(hand.workshop.time_zone)
        until = f" to {other.ended_at.astimezone(zone):%H:%M}" if other.ended_at else ""
        raise RuleBroken(
            "started_at",
            f"{hand} was on “{other.operation.name}” ({other.operation.mark}) from"
            f" {other.started_at.astimezone(zone):%-d %B %H:%M}{until}; the two would overlap."
            " Correct that one first.",
        )


def _end(running: Clocking, *, at: datetime, pieces: int) -> Clocking:
    _require_in_order(running.hand, at)
    operation = _now(running.operation_id)
    _count(operation, pieces)
    running.ended_at, running.pieces = at, pieces
    running.save_next()
    if operation.pieces_done == operation.pieces:
        _end_helpers(operation, at)
    _settle(operation, at)
    return running


def _end_helpers(operation: Operation, at: datetime) -> None:
    """The last piece ends the work of everybody else who was on the operation."""
    for other in Clocking.objects.running().filter(operation=operation):
        other.ended_at = max(at, other.started_at)
        other.save_next()


def _count(operation: Operation, pieces: int, *, instead_of: int = 0) -> None:
    """Add the pieces of one clocking to those done."""
    left = operation.pieces - operation.pieces_done + instead_of
    if not 0 <= pieces <= left:
        raise RuleBroken(
            "pieces",
            f"“{operation.name}” has {left} of {operation.pieces} pieces left;"
            f" give a number from 0 to {left}.",
            nearest=left if pieces > left else 0,
        )
    operation.pieces_done += pieces - instead_of


def _settle(operation: Operation, at: datetime) -> None:
    """Write the state that the clockings of an operation give it, and free what follows it."""
    State = Operation.State
    was_done = operation.state == State.DONE
    if operation.pieces_done >= operation.pieces:
        operation.state = State.DONE
        operation.done_at = at if not was_done else operation.done_at
    else:
        on_it = Clocking.objects.filter(operation=operation)
        operation.state = State.RUNNING if on_it.running().exists() else State.PAUSED
        operation.done_at = None
    operation.save_next()
    tell_planner(operation.commission.workshop_id)
    if was_done != (operation.state == State.DONE):
        settle_states(operation.commission)


def _usual_station(operation: Operation) -> Station | None:
    """Where the plan in force has it, or the only station of its kind."""
    workshop = operation.commission.workshop
    in_use = Station.objects.of(workshop).filter(is_in_use=True)
    plan = Plan.objects.in_force().of(workshop)
    booked: Station | None = in_use.filter(
        bookings__plan__in=plan, bookings__operation=operation
    ).first()
    of_kind = list(in_use.filter(kind=operation.station_kind)[:2])
    return booked or (of_kind[0] if len(of_kind) == 1 else None)
