"""Why no plan can be made: the fewest demands that cannot all hold.

A demand is what somebody asked for and could let go: a pin, a release, a closure, the end of the
plan. The work itself, its order and its skills are taken as given.
Source: U. Junker, QuickXplain: preferred explanations and relaxations for over-constrained problems,
AAAI 2004.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import combinations
from math import comb
from typing import Literal
from zoneinfo import ZoneInfo

from shop.core.calendar import Closure
from shop.core.plan.problem import Problem, Task

MOST_QUESTIONS = 150
"""Whether a plan could be made is asked at most so often, and of so many tasks."""
MOST_TASKS = 300
Asks = Callable[[Problem], bool]
Kind = Literal["pinned_start", "pinned_station", "pinned_hand", "release", "closure", "horizon"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """Something that could give: in words what it asks, and what to do to let it go.

    `task` is the task of a pin or a release; `closure` what is closed, in all calendars that have it.
    """

    kind: Kind
    asks: str
    gives: str
    task: str = ""
    closure: Closure | None = None


class TooHard(Exception):
    """The demands could not be told apart within the questions allowed."""


def conflict(problem: Problem, can_be_planned: Asks) -> tuple[Demand, ...]:
    """The demands that cannot all hold; empty if it is none of them, or they cannot be told.

    As few as there are where that can be tried; else such that each of them is needed.
    `can_be_planned` is asked of the problem with some of its demands.
    """
    small = _concerned(problem)
    if len(small.tasks) <= MOST_TASKS and not can_be_planned(small):
        problem = small
    if len(problem.tasks) > MOST_TASKS:
        return ()
    asker = _Asker(problem, can_be_planned)
    try:
        if asker.can_hold(asker.demands) or not asker.can_hold(()):
            return ()
        found = asker.explained()
        return asker.fewer(found) or found
    except TooHard:
        return ()


def told(demands: Sequence[Demand]) -> str:
    """The conflict in a sentence or two."""
    asks, gives = ("; ".join(d.asks for d in demands), ", or ".join(d.gives for d in demands))
    if len(demands) == 1:
        return f"It cannot hold that {asks}: {gives}."
    return f"It cannot all hold that {asks}. One of these would have to give: {gives}."


def demands_of(problem: Problem) -> tuple[Demand, ...]:
    """Everything in a problem that could give."""
    return (*_end(problem), *_closures(problem), *_of_tasks(problem))


def without(problem: Problem, gone: Iterable[Demand]) -> Problem:
    """The problem with some of its demands let go."""
    let_go = set(gone)
    fields = {(d.task, d.kind): None for d in let_go if d.task}
    closed = [d.closure for d in let_go if d.closure is not None]
    tasks = tuple(
        replace(task, **{name: None for key, name in fields if key == task.key})  # type: ignore[arg-type]
        if any(key == task.key for key, _ in fields)
        else task
        for task in problem.tasks
    )
    calendars = {
        key: replace(c, closures=tuple(one for one in c.closures if one not in closed))
        for key, c in problem.calendars.items()
    }
    is_endless = any(d.kind == "horizon" for d in let_go)
    horizon = None if is_endless else problem.horizon
    return replace(problem, tasks=tasks, calendars=calendars, horizon=horizon)


class _Asker:
    """Asks whether some demands can hold together, each set once."""

    def __init__(self, problem: Problem, can_be_planned: Asks) -> None:
        self.problem, self.can_be_planned = problem, can_be_planned
        self.demands = demands_of(problem)
        self.known: dict[frozenset[Demand], bool] = {}

    def can_hold(self, demands: Iterable[Demand]) -> bool:
        """Whether a plan can be made with these demands alone."""
        held = frozenset(demands)
        if held not in self.known:
            if len(self.known) == MOST_QUESTIONS:
                raise TooHard
            problem = without(self.problem, (d for d in self.demands if d not in held))
            self.known[held] = self.can_be_planned(problem)
        return self.known[held]

    def explained(self) -> tuple[Demand, ...]:
        """Demands of which each is needed for the conflict."""
        return self._explained((), False, self.demands)

    def _explained(
        self, held: tuple[Demand, ...], is_new: bool, open_: tuple[Demand, ...]
    ) -> tuple[Demand, ...]:
        if is_new and not self.can_hold(held):
            return ()
        if len(open_) == 1:
            return open_
        half = len(open_) // 2
        first, second = open_[:half], open_[half:]
        of_second = self._explained((*held, *first), bool(first), second)
        of_first = self._explained((*held, *of_second), bool(of_second), first)
        return (*of_first, *of_second)

    def fewer(self, found: Sequence[Demand]) -> tuple[Demand, ...]:
        """Fewer demands that clash as well; empty where there are none or too many to try."""
        for size in range(1, len(found)):
            if comb(len(self.demands), size) > MOST_QUESTIONS - len(self.known):
                break
            for demands in combinations(self.demands, size):
                if not self.can_hold(demands):
                    return demands
        return ()


def _concerned(problem: Problem) -> Problem:
    """What is pinned to a time or under way, and all that must come before it."""
    tasks = {task.key: task for task in problem.tasks}
    stack = [t.key for t in problem.tasks if t.pinned_start is not None or t.under_way]
    kept: set[str] = set()
    while stack:
        key = stack.pop()
        if key not in kept:
            kept.add(key)
            stack += () if tasks[key].under_way else tasks[key].after
    chosen = tuple(
        replace(task, after=tuple(key for key in task.after if key in kept))
        for task in problem.tasks
        if task.key in kept
    )
    return replace(problem, tasks=chosen)


def _end(problem: Problem) -> Iterator[Demand]:
    if problem.horizon is not None:
        on = _clock(problem.horizon.astimezone(_zone(problem)))
        yield Demand(kind="horizon", asks=f"all is done by {on}", gives=f"plan beyond {on}")


def _closures(problem: Problem) -> Iterator[Demand]:
    whose: dict[Closure, list[str]] = {}
    zones: dict[Closure, ZoneInfo] = {}
    names: dict[str, list[str]] = {}
    for resource in problem.resources:
        for key in {resource.calendar, resource.overtime} - {""}:
            names.setdefault(key, []).append(resource.label or resource.key)
    for key, calendar in problem.calendars.items():
        for closure in calendar.closures if key in names else ():
            if closure.end > problem.now:
                whose.setdefault(closure, []).extend(names[key])
                zones[closure] = ZoneInfo(calendar.timezone)
    everybody = {name for row in names.values() for name in row}
    for closure, closed in whose.items():
        is_all = len(everybody) > 1 and everybody <= set(closed)
        who = "the shop" if is_all else " and ".join(dict.fromkeys(closed))
        start, end = (_clock(at.astimezone(zones[closure])) for at in (closure.start, closure.end))
        why = f" ({closure.reason})" if closure.reason else ""
        verb = "are" if " and " in who else "is"
        yield Demand(
            kind="closure",
            asks=f"{who} {verb} closed or away from {start} to {end}{why}",
            gives=f"have {who} at work between {start} and {end}",
            closure=closure,
        )


def _of_tasks(problem: Problem) -> Iterator[Demand]:
    labels = {resource.key: resource.label or resource.key for resource in problem.resources}
    for task in problem.tasks:
        yield from _of_task(task, labels, _zone(problem))


def _of_task(task: Task, labels: dict[str, str], zone: ZoneInfo) -> Iterator[Demand]:
    name = f"“{task.name}”"
    if task.release is not None and not task.under_way:
        at = _clock(task.release.astimezone(zone))
        asks, gives = f"{name} does not begin before {at}", f"have {name} free before {at}"
        yield Demand(kind="release", task=task.key, asks=asks, gives=gives)
    if task.pinned_station is not None:
        at = f"“{labels[task.pinned_station]}”"
        asks, gives = f"{name} goes on {at}", f"let {name} go on another station than {at}"
        yield Demand(kind="pinned_station", task=task.key, asks=asks, gives=gives)
    if task.pinned_hand is not None:
        at = f"“{labels[task.pinned_hand]}”"
        asks, gives = f"{name} goes to {at}", f"give {name} to somebody else than {at}"
        yield Demand(kind="pinned_hand", task=task.key, asks=asks, gives=gives)
    if task.pinned_start is not None:
        at = _clock(task.pinned_start.astimezone(zone))
        asks, gives = f"{name} begins at {at}", f"pin {name} to another time"
        yield Demand(kind="pinned_start", task=task.key, asks=asks, gives=gives)


def _zone(problem: Problem) -> ZoneInfo:
    """The clock by which the shop works: that of its first calendar."""
    return ZoneInfo(next((c.timezone for c in problem.calendars.values()), "UTC"))


def _clock(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M}"
