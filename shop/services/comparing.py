"""Two plans side by side: the orders in each, the owner's measures, what moved and why."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from orders.models import Commission
from orders.services.release import GONE
from shop.core.plan.reasons import SLIGHT
from shop.models import Booking, Plan

from .chart import OrderEnd, ends_of

MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """The measures of one plan; minutes, and the end of all its work.

    `setup_min`, `overtime_min` and `waiting_min`, how long begun work lies between its operations,
    are None where work of the plan was done since, so that they would count more than is left.
    `least_chance` is that of the order least sure to be in time, in a hundred; None
    where no order has a day.
    """

    late_orders: int
    late_min: float
    weighted_late_min: float
    setup_min: float | None
    overtime_min: float | None
    waiting_min: float | None
    ends_at: datetime | None
    least_chance: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderSide:
    """An order in one of the plans: when it ends, minutes late, its chance in a hundred."""

    ends_at: datetime
    late_min: float
    weighted_late_min: float
    chance: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPair:
    """An order in both; a side is None where that plan does not have it."""

    commission_id: int
    mark: str
    title: str
    due_on: date | None
    due: datetime | None
    one: OrderSide | None
    other: OrderSide | None

    @property
    def shift_min(self) -> float:
        """How much later the other plan ends it, in minutes; negative for sooner."""
        if self.one is None or self.other is None:
            return 0.0
        return (self.other.ends_at - self.one.ends_at) / MINUTE


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """An operation in another place: where it was, where it is, why where that is known."""

    operation_id: int
    mark: str
    name: str
    one: Booking
    other: Booking
    why: str

    @property
    def shift_min(self) -> float:
        """How much later it begins in the other plan, in minutes; negative for sooner."""
        return (self.other.starts_at - self.one.starts_at) / MINUTE

    @property
    def sooner_min(self) -> float:
        """The same, the other way round."""
        return -self.shift_min


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two plans; `moved` with the first to begin on top, `bookings` of each by operation."""

    one: Plan
    other: Plan
    figures: tuple[Figures, Figures]
    orders: tuple[OrderPair, ...]
    moved: tuple[Moved, ...]
    bookings: tuple[Mapping[int, Booking], Mapping[int, Booking]]


def compare(one: Plan, other: Plan) -> Comparison:
    """What the other plan does otherwise, for all work that is not done yet."""
    sides = (_bookings(one), _bookings(other))
    ends = (ends_of(one), ends_of(other))
    pairs = tuple(_orders((one, other), ends))
    figures = tuple(
        _figures(plan, side, [pair.one if i == 0 else pair.other for pair in pairs])
        for i, (plan, side) in enumerate(zip((one, other), sides, strict=True))
    )
    return Comparison(
        one=one,
        other=other,
        figures=(figures[0], figures[1]),
        orders=pairs,
        moved=tuple(_moved(one, other, *sides)),
        bookings=sides,
    )


def compared_by_default(plans: Sequence[Plan]) -> tuple[Plan, Plan] | None:
    """The plan in force and the proposal, else the newest other one; None with fewer than two.

    `plans` are the newest first.
    """
    one = next((plan for plan in plans if plan.state == Plan.State.ADOPTED), None)
    others = [plan for plan in plans if plan is not one]
    if one is None or not others:
        return (plans[1], plans[0]) if len(plans) > 1 else None
    order = [Plan.State.PROPOSED, Plan.State.KEPT, Plan.State.SUPERSEDED]
    return one, min(others, key=lambda plan: order.index(Plan.State(plan.state)))


def _bookings(plan: Plan) -> dict[int, Booking]:
    rows = Booking.objects.filter(plan=plan).exclude(operation__state__in=GONE)
    rows = rows.select_related("operation__commission", "station", "hand")
    found: dict[int, Booking] = {
        row.operation_id: row
        for row in rows.prefetch_related("helpers").order_by("starts_at", "pk")
    }
    return found


def _orders(
    plans: tuple[Plan, Plan], ends: tuple[Mapping[int, OrderEnd], Mapping[int, OrderEnd]]
) -> list[OrderPair]:
    """The most changed first."""
    commissions = Commission.objects.in_bulk({*ends[0], *ends[1]})
    found = []
    for pk, commission in commissions.items():
        sides = [
            _side(plan, commission, end.get(pk)) for plan, end in zip(plans, ends, strict=True)
        ]
        known = ends[0].get(pk) or ends[1][pk]
        found.append(
            OrderPair(
                commission_id=pk,
                mark=commission.mark,
                title=commission.title,
                due_on=commission.due_on,
                due=known.due,
                one=sides[0],
                other=sides[1],
            )
        )
    return sorted(found, key=lambda pair: (-abs(pair.shift_min), pair.mark))


def _side(plan: Plan, commission: Commission, end: OrderEnd | None) -> OrderSide | None:
    if end is None:
        return None
    promise: Mapping[str, Any] = plan.objective.get("promises", {}).get(str(commission.pk), {})
    chance = promise.get("chance")
    late = max(0.0, (end.ends_at - end.due) / MINUTE) if end.due is not None else 0.0
    return OrderSide(
        ends_at=end.ends_at,
        late_min=late,
        weighted_late_min=late * float(commission.weight),
        chance=None if chance is None else round(100 * chance),
    )


def _figures(
    plan: Plan,
    bookings: Mapping[int, Booking],
    orders: Sequence[OrderSide | None],
) -> Figures:
    late = [side.late_min for side in orders if side is not None and side.late_min > 0]
    is_whole = plan.bookings.count() == len(bookings)
    chances = [side.chance for side in orders if side is not None and side.chance is not None]
    return Figures(
        late_orders=len(late),
        late_min=sum(late),
        weighted_late_min=sum(side.weighted_late_min for side in orders if side is not None),
        setup_min=plan.objective.get("setup_min") if is_whole else None,
        overtime_min=plan.objective.get("overtime_min") if is_whole else None,
        waiting_min=plan.objective.get("idle_min") if is_whole else None,
        ends_at=max((row.ends_at for row in bookings.values()), default=None),
        least_chance=min(chances, default=None),
    )


def _moved(
    one: Plan, other: Plan, was: Mapping[int, Booking], now: Mapping[int, Booking]
) -> Iterable[Moved]:
    why: dict[int, str] = defaultdict(str)
    if other.objective.get("against") == one.number:
        why |= {each["operation"]: each["why"] for each in other.objective.get("changes", [])}
    for pk, row in now.items():
        if pk in was and _is_elsewhere(was[pk], row):
            yield Moved(
                operation_id=pk,
                mark=row.operation.mark,
                name=row.operation.name,
                one=was[pk],
                other=row,
                why=why[pk],
            )


def _is_elsewhere(was: Booking, now: Booking) -> bool:
    places = [(row.station_id, row.hand_id) for row in (was, now)]
    return abs(now.starts_at - was.starts_at) > SLIGHT or places[0] != places[1]
