"""Why a task moved: the first cause is named, however many tasks lie between."""

from dataclasses import replace
from datetime import timedelta

from shop.core.calendar import Closure
from shop.core.plan.planner import plan
from shop.core.plan.problem import Problem, Task
from shop.core.plan.reasons import Change, changes
from shop.core.plan.schedule import Budget
from tests.shop.core.plan.shops import DAY_SHIFT, a_hand, a_problem, a_station, at


def a_row(**first: object) -> Problem:
    """Mortises, then tenons, then the fit, with Ada; the mortiser has hours of its own."""
    return a_problem(
        [a_station("mortiser", label="Mortiser", calendar="mortiser"), a_hand("Ada")],
        [
            Task(key="mortise", minutes=60, stations=("mortiser",), hands=("Ada",), **first),  # type: ignore[arg-type]
            Task(key="tenon", minutes=60, hands=("Ada",), after=("mortise",)),
            Task(key="fit", minutes=60, hands=("Ada",), after=("tenon",)),
        ],
        calendars={"mortiser": DAY_SHIFT},
    )


def changed(old: Problem, new: Problem) -> dict[str, Change]:
    """What moved between the best plans of two problems."""
    before, after = (
        {b.task: b for b in plan(p, budget=Budget(evaluations=30)).bookings} for p in (old, new)
    )
    return {change.task: change for change in changes(new, before, after)}


def test_a_machine_that_is_down_is_the_cause_of_all_that_waits_for_it() -> None:
    until = at(8, day=2)
    down = Closure(start=at(0), end=until, reason="a bearing")
    problem = a_row()
    stopped = replace(
        problem, calendars={**problem.calendars, "mortiser": replace(DAY_SHIFT, closures=(down,))}
    )
    found = changed(problem, stopped)
    assert set(found) == {"mortise", "tenon", "fit"}
    for change in found.values():
        assert change.shift == timedelta(days=2)
        cause = change.cause
        assert (cause.kind, cause.resource, cause.until) == ("closed", "mortiser", until)
        assert cause.reason == "a bearing"


def test_timber_that_comes_later_is_the_cause() -> None:
    found = changed(a_row(), a_row(release=at(13)))
    assert {(c.cause.kind, c.cause.until) for c in found.values()} == {("release", at(13))}


def test_a_rush_that_takes_the_place_is_named() -> None:
    problem = a_row()
    rush = Task(key="rush", minutes=120, hands=("Ada",), pinned_start=at(8))
    found = changed(problem, replace(problem, tasks=(rush, *problem.tasks)))
    assert {(c.cause.kind, c.cause.task) for c in found.values()} == {("new", "rush")}


def test_what_takes_longer_is_named() -> None:
    problem = a_row()
    longer = replace(problem.tasks[0], minutes=115)
    found = changed(problem, replace(problem, tasks=(longer, *problem.tasks[1:])))
    assert {c.task: (c.cause.kind, c.cause.task) for c in found.values()} == {
        "tenon": ("waits", "mortise"),
        "fit": ("waits", "mortise"),
    }


def test_a_slip_of_minutes_is_no_change() -> None:
    problem = a_row()
    longer = replace(problem.tasks[0], minutes=70)
    assert changed(problem, replace(problem, tasks=(longer, *problem.tasks[1:]))) == {}


def test_what_moves_forward_says_so() -> None:
    found = changed(a_row(release=at(13)), a_row())
    assert {c.cause.kind for c in found.values()} == {"sooner"}
