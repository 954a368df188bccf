"""The schedule calculator: tasks, stations and hands to a plan that was checked by other code."""

# ruff: noqa: RUF009 -- `told` answers a dataclass field, not a value.

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any, ClassVar

from costing.services.calculators.calculator import Calculator
from costing.services.calculators.limits import Limits, require
from orders.core.errors import RuleBroken
from orders.core.orderfile import STRICT, told
from shop.core.calendar import HORIZON, Calendar, Closure, Opening, Shift
from shop.core.plan.check import Violation, check
from shop.core.plan.planner import plan
from shop.core.plan.problem import Problem
from shop.core.plan.schedule import Budget, Schedule

MINUTE = timedelta(minutes=1)
USUAL_SECONDS = 20.0
MOST_EVALUATIONS = 1_000_000
GREATEST_SEED = 2**31 - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduleDocument(Problem):
    """A shop to plan, how long to look for a better plan, and the seed of the search."""

    __pydantic_config__: ClassVar[Mapping[str, Any]] = STRICT

    budget: Budget | None = told("How long to search; as long as is usual when null.", default=None)
    seed: int = told("The same seed gives the same plan.", default=0, ge=0, le=GREATEST_SEED)


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduleAnswer:
    """A plan with its measures and bound, and what an independent checker finds wrong with it."""

    schedule: Schedule
    broken_rules: tuple[Violation, ...]


def schedule(document: ScheduleDocument, limits: Limits) -> ScheduleAnswer:
    """The best plan found within the budget.

    Raises RuleBroken or RulesBroken when no plan can be made, or more is asked than is done here.
    """
    _require_size(document, limits)
    document = _within(document, limits)
    made = plan(document, budget=_budget(document, limits), seed=document.seed)
    span = sum((each.end - each.start) / MINUTE for each in made.bookings)
    require("tasks", span, limits.span_min, "minutes from starts to ends")
    return ScheduleAnswer(schedule=made, broken_rules=check(document, made))


def _require_size(document: ScheduleDocument, limits: Limits) -> None:
    require("tasks", len(document.tasks), limits.tasks, "tasks")
    require("resources", len(document.resources), limits.tasks, "stations, hands and gear")
    require("orders", len(document.orders), limits.tasks, "orders")
    work = sum(task.minutes + task.setup_min for task in document.tasks)
    require("tasks", work, limits.work_min, "minutes of work")
    openings = sum(
        len(each.weekly) + len(each.closures) + len(each.extra)
        for each in document.calendars.values()
    )
    require("calendars", openings, limits.openings, "shifts, closures and openings")


def _within(document: ScheduleDocument, limits: Limits) -> ScheduleDocument:
    """The same question with an end; raises RuleBroken for one that is too far off."""
    if document.now.tzinfo is None:
        return document
    if document.horizon is None:
        days = min(HORIZON, timedelta(days=limits.horizon_days))
        return replace(document, horizon=document.now + days)
    if document.horizon.tzinfo is not None:
        days_ahead = (document.horizon - document.now).days
        require("horizon", days_ahead, limits.horizon_days, "days ahead")
    return document


def _budget(document: ScheduleDocument, limits: Limits) -> Budget:
    if document.budget is None:
        return Budget(seconds=min(USUAL_SECONDS, limits.seconds))
    if not document.budget.seconds > 0:
        raise RuleBroken("budget/seconds", "Give the search more than 0 seconds.")
    if not 1 <= document.budget.evaluations <= MOST_EVALUATIONS:
        raise RuleBroken("budget/evaluations", "Give the search 1 to 1,000,000 tries.")
    require("budget/seconds", document.budget.seconds, limits.seconds, "seconds of search")
    return document.budget


SCHEDULE = Calculator(
    name="schedule",
    summary="Plan tasks on stations and hands, with a bound and its proof where there is one.",
    document=ScheduleDocument,
    answer=ScheduleAnswer,
    reckon=schedule,
    checked=(Shift, Closure, Opening, Calendar),
)
