"""The bench screen of a hand: what is running, what is next, and what that waits for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import chain
from zoneinfo import ZoneInfo

from django.db.models import Q

from orders.core.stages import Stage
from orders.models import Operation
from orders.models.owned import OwnedQuerySet
from shop.models import Booking, Clocking, Hand, Plan

from .clocking import running_of, share_of
from .problem import Underway, before_of
from .waiting import rounds_after, waits_among

MOST_NEXT = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchWork:
    """An operation as the bench shows it; `waits` are reasons why it cannot be begun yet.

    One that `goes_beside` may be begun while what the hand is doing goes on.
    """

    operation: Operation
    pieces_left: int
    standard_min: float
    used_min: float
    rest_min: float
    station: str = ""
    planned_start: datetime | None = None
    planned_end: datetime | None = None
    waits: tuple[str, ...] = ()
    goes_beside: bool = False

    @property
    def may_start(self) -> bool:
        """Whether nothing holds it up."""
        return not self.waits


@dataclass(frozen=True, slots=True, kw_only=True)
class RunningWork:
    """What the hand is doing: the clocking, minutes of this stretch, and the operation."""

    clocking: Clocking
    stretch_min: float
    work: BenchWork
    others: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchView:
    """A hand's bench: `paused` was begun by this hand, `next` is in the order of the plan.

    `minded` is a machine that runs while the hand works on what is `running`.
    """

    hand: Hand
    at: datetime
    plan_number: int | None
    running: RunningWork | None
    minded: RunningWork | None
    paused: tuple[BenchWork, ...]
    next: tuple[BenchWork, ...]

    @property
    def doing(self) -> tuple[RunningWork, ...]:
        """All that goes on."""
        return tuple(one for one in (self.running, self.minded) if one is not None)


def bench(hand: Hand, at: datetime) -> BenchView:
    """The bench of a hand at an instant.

    Without a plan in force, what is next is what the hand has the skill for and may be begun.
    """
    plan = Plan.objects.in_force().of(hand.workshop).first()
    clockings = running_of(hand)
    paused = list(_open(hand).filter(clockings__hand=hand).distinct())
    booked = _booked(plan, hand) if plan else {}
    following = [b.operation for b in booked.values()] if plan else _able(hand)
    at_work = {clocking.operation_id for clocking in clockings}
    shown = {operation.pk: operation for operation in (*paused, *following)}
    if missing := at_work - shown.keys():
        shown |= _shown(Operation.objects.all()).in_bulk(missing)
    bench_of = _Reader(hand, at, shown.values(), booked, clockings)
    done_first = {operation.pk for operation in paused} | at_work
    doing = [bench_of.running(clocking) for clocking in clockings]
    return BenchView(
        hand=hand,
        at=at,
        plan_number=plan.number if plan else None,
        running=doing[0] if doing else None,
        minded=doing[1] if len(doing) > 1 else None,
        paused=tuple(bench_of.work(op) for op in paused if op.pk not in at_work),
        next=tuple(bench_of.work(op) for op in following if op.pk not in done_first)[:MOST_NEXT],
    )


class _Reader:
    """Reads once what all the operations on one bench need."""

    def __init__(
        self,
        hand: Hand,
        at: datetime,
        operations: Iterable[Operation],
        booked: Mapping[int, Booking],
        doing: Sequence[Clocking],
    ) -> None:
        self.hand, self.at, self.booked, self.doing = hand, at, booked, doing
        self.zone = ZoneInfo(hand.workshop.time_zone)
        self.operations = {operation.pk: operation for operation in operations}
        self.before = before_of(list(self.operations))
        self.rounds = rounds_after(chain.from_iterable(self.before.values()))
        self.clocked: dict[int, list[Clocking]] = {}
        rows = Clocking.objects.filter(operation__in=self.operations).select_related("hand")
        for clocking in rows.order_by("started_at"):
            self.clocked.setdefault(clocking.operation_id, []).append(clocking)

    def work(self, operation: Operation) -> BenchWork:
        """One operation."""
        on_it = Underway.of(self.clocked.get(operation.pk, ()), self.at)
        booking = self.booked.get(operation.pk)
        waits = waits_among(operation, self.before.get(operation.pk, ()), self.at, self.rounds)
        return BenchWork(
            operation=operation,
            pieces_left=operation.pieces - operation.pieces_done,
            standard_min=operation.minutes,
            used_min=on_it.used_min,
            rest_min=on_it.rest_min(operation),
            station=str(booking.station or "") if booking else "",
            planned_start=booking.starts_at if booking else None,
            planned_end=booking.ends_at if booking else None,
            waits=tuple(wait.words(self.zone) for wait in waits if not operation.pieces_done),
            goes_beside=bool(self.doing) and self._goes_beside(operation, booking),
        )

    def _goes_beside(self, operation: Operation, booking: Booking | None) -> bool:
        """Whether it goes with all that the hand is doing, where the plan has it."""
        share = share_of(operation, booking.station if booking else None)
        return all(share.goes_with(clocking.share) for clocking in self.doing)

    def running(self, clocking: Clocking) -> RunningWork:
        """What the hand is doing."""
        rows: Sequence[Clocking] = self.clocked.get(clocking.operation_id, ())
        return RunningWork(
            clocking=clocking,
            stretch_min=max(0.0, (self.at - clocking.started_at).total_seconds() / 60),
            work=self.work(self.operations[clocking.operation_id]),
            others=tuple(
                row.hand.name
                for row in rows
                if row.ended_at is None and row.hand_id != self.hand.pk
            ),
        )


def _shown(operations: OwnedQuerySet) -> OwnedQuerySet:
    return operations.select_related("commission__workshop", "assembly", "joint")


def _open(hand: Hand) -> OwnedQuerySet:
    at_the_bench = Operation.objects.of(hand.workshop).filter(commission__stage=Stage.IN_WORK)
    return _shown(at_the_bench.open())


def _booked(plan: Plan, hand: Hand) -> dict[int, Booking]:
    """The open operations that the plan has for the hand, in order."""
    mine = (
        Booking.objects.filter(Q(hand=hand) | Q(helpers=hand), plan=plan)
        .filter(operation__in=_open(hand))
        .select_related(
            "operation__commission__workshop", "operation__assembly", "operation__joint", "station"
        )
        .order_by("starts_at", "pk")
        .distinct()
    )
    return {booking.operation_id: booking for booking in mine}


def _able(hand: Hand) -> list[Operation]:
    skills = hand.skills.values_list("skill", flat=True)
    ready = _open(hand).filter(state=Operation.State.READY, skill__in=list(skills))
    return list(ready.order_by("commission__due_on", "commission__number", "number")[:MOST_NEXT])
