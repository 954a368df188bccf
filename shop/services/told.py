"""What people are told of a plan: their work of today and the next working day, what a new plan
changes and why, and what it promises."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from orders.models import Commission, Operation
from shop.core.plan import schedule as core
from shop.core.plan.problem import Problem, Told
from shop.models import Plan

from .chart import midnight

MOST_MOVES = 12
MOVE_PRICE = 120.0
"""Weighted minutes late for which an operation is moved that somebody was told about; common
practice, no source."""


def with_told(problem: Problem, known: Mapping[str, core.Booking], zone: ZoneInfo) -> Problem:
    """The same problem, in which moving what people were told costs."""
    until = end_of_next_working_day(problem, zone)
    tasks = tuple(
        replace(task, told=Told(start=it.start, station=it.station, hands=it.hands))
        if (it := known.get(task.key)) is not None
        and not task.under_way
        and problem.now <= it.start < until
        else task
        for task in problem.tasks
    )
    return replace(problem, tasks=tasks, move_price=_move_price(problem))


def staying(problem: Problem, known: Mapping[str, core.Booking], *, but: str = "") -> Problem:
    """The same problem, in which moving anything that is still ahead costs, but for one task."""
    tasks = tuple(
        replace(task, told=Told(start=it.start, station=it.station, hands=it.hands))
        if (it := known.get(task.key)) is not None and not task.under_way and task.key != but
        else task
        for task in problem.tasks
    )
    return replace(problem, tasks=tasks, move_price=_move_price(problem))


def _move_price(problem: Problem) -> float:
    return MOVE_PRICE * problem.prices.minute_late


def end_of_next_working_day(problem: Problem, zone: ZoneInfo) -> datetime:
    """The midnight after the first day from tomorrow on at which anybody works."""
    today = problem.now.astimezone(zone).date()
    for ahead in range(1, 15):
        start = midnight(today + timedelta(days=ahead), zone)
        end = midnight(today + timedelta(days=ahead + 1), zone)
        if any(calendar.openings(start, end) for calendar in problem.calendars.values()):
            return end
    return midnight(today + timedelta(days=1), zone)


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """An operation that a plan moves, where it was, and a sentence that says where to and why."""

    mark: str
    name: str
    was_at: datetime
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PromisedOrder:
    """The day that four in five of such orders keep, and the chance in a hundred of the day due."""

    commission_id: int
    mark: str
    title: str
    due_on: date | None
    promised_on: date
    chance: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldOf:
    """What a plan changes, the soonest first, how much more it changes, and what it promises."""

    moves: tuple[Move, ...]
    more_moves: int
    promises: tuple[PromisedOrder, ...]


def told_of(plan: Plan) -> ToldOf:
    """What there is to tell of a plan; changes only of a proposal, or where nobody was asked."""
    is_news = plan.state == Plan.State.PROPOSED or (
        plan.state == Plan.State.ADOPTED and plan.workshop.plans_itself
    )
    kept = plan.objective.get("changes", []) if is_news else []
    return ToldOf(
        moves=tuple(_moves(kept[:MOST_MOVES])),
        more_moves=max(0, len(kept) - MOST_MOVES),
        promises=tuple(_promises(plan)),
    )


def _moves(kept: Sequence[Mapping[str, Any]]) -> Iterable[Move]:
    pks = [change["operation"] for change in kept]
    operations = Operation.objects.select_related("commission").in_bulk(pks)
    for change in kept:
        operation = operations.get(change["operation"])
        if operation is not None:
            yield Move(
                mark=operation.mark,
                name=operation.name,
                was_at=datetime.fromisoformat(change["was_at"]),
                why=change["why"],
            )


def _promises(plan: Plan) -> list[PromisedOrder]:
    """The least sure order first."""
    kept: Mapping[str, Mapping[str, Any]] = plan.objective.get("promises", {})
    zone = ZoneInfo(plan.workshop.time_zone)
    found = [
        PromisedOrder(
            commission_id=commission.pk,
            mark=commission.mark,
            title=commission.title,
            due_on=commission.due_on,
            promised_on=datetime.fromisoformat(promise["promised_at"]).astimezone(zone).date(),
            chance=None if promise["chance"] is None else round(100 * promise["chance"]),
        )
        for commission in Commission.objects.filter(pk__in=map(int, kept))
        for promise in [kept[str(commission.pk)]]
    ]
    return sorted(
        found, key=lambda order: (101 if order.chance is None else order.chance, order.mark)
    )
