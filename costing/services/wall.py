"""What hangs on the wall: some days of a plan by station and by hand, and the work that is late."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from costing.services.papers import Shop, shop_of
from shop.models import Plan
from shop.services.chart import By, LateOrder, chart, late_work
from shop.services.lanes import Sheet, sheet_of

VIEWS: tuple[By, ...] = ("station", "hand")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """A stretch of a plan as it stood at `now`, once for each way to look at it."""

    shop: Shop
    plan: int
    state: str
    first_day: date
    now: datetime
    views: tuple[tuple[By, Sheet], ...]
    late: tuple[LateOrder, ...]


def wall(plan: Plan, first_day: date, *, now: datetime, days: int = 7) -> Wall:
    """So many days of a plan from `first_day` on."""
    late = late_work(plan)
    return Wall(
        shop=shop_of(plan.workshop),
        plan=plan.number,
        state=plan.get_state_display(),
        first_day=first_day,
        now=now,
        views=tuple(
            (by, sheet_of(plan, chart(plan, first_day, days, by), now=now, followed=None))
            for by in VIEWS
        ),
        late=late,
    )
