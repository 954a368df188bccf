"""A family of `planning`: a shop in its third day, at ten o'clock, when something happens.

Every event is put to the same plan: it is repaired (the first answer), bettered until a second is
over, and set beside what is made from nothing: the best of the rules, and a long search that does
not mind whom it moves. People were told their work until the end of the next working day. All
events are invented. Seconds are those of the processor, of each lane of the search.
"""

from argparse import Namespace
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, exp, log
from random import Random
from time import process_time, thread_time

from shop.core.plan.check import check
from shop.core.plan.lanes import LANES
from shop.core.plan.measure import objective_of
from shop.core.plan.planner import plan
from shop.core.plan.problem import Problem
from shop.core.plan.schedule import Booking, Budget, Progress, Schedule
from tests.shop.core.plan.events import EVENTS, HAPPENS, as_of
from tests.shop.core.plan.shops import a_joinery_shop

MANY = 10**9
LEAST_LATE = 60.0
"""Weighted minutes: a plan that is less late counts as so late, so that ratios mean something."""
GOALS = {10: 0.5, 33: 0.25}
"""Orders of a shop of 300 and of 1,000 tasks, and what share of the moves of the rules is aimed at."""


def lane_seconds() -> float:
    """Seconds of this thread and of a lane of the search: the lanes share what is not this one's."""
    own = thread_time()
    return own + (process_time() - own) / LANES


@dataclass(frozen=True, slots=True)
class Case:
    """What came of one event: lateness and moves of each way, seconds, and what is wrong with it."""

    first_s: float
    better_s: float
    first: Schedule
    better: Schedule
    ruled: Schedule
    long: Schedule | None
    violations: int

    @property
    def ratio(self) -> float | None:
        """Lateness of the plan of a second beside that of the long search."""
        if self.long is None:
            return None
        late = (max(LEAST_LATE, _late(s)) for s in (self.better, self.long))
        return next(late) / next(late)


def measure_replan(options: Namespace) -> Iterator[str]:
    """One line per event, and for each size a table of the figures beside what is aimed at."""
    for orders in options.orders or sorted(GOALS):
        cases: list[Case] = []
        for seed in range(options.seed, options.seed + options.seeds):
            shop = a_joinery_shop(seed, orders, people=6)
            old = _planned(shop, options.before_seconds)[0]
            today, known = as_of(shop, {b.task: b for b in old.bookings}, HAPPENS)
            for name, event in EVENTS.items():
                changed = event(today, known, Random(f"{seed} {name}"))
                case = _case(changed, known, options.seconds)
                cases.append(case)
                yield _line(name, changed, case)
        yield from _table(orders, cases)


def _planned(
    problem: Problem, seconds: float, known: Mapping[str, Booking] | None = None, tries: int = MANY
) -> tuple[Schedule, float, float]:
    """The plan, the seconds to its first answer and to its end."""
    times: list[float] = []
    began = lane_seconds()

    def note(word: Progress) -> None:
        if not times and word.best is not None:
            times.append(lane_seconds() - began)

    schedule = plan(
        problem,
        budget=Budget(evaluations=tries, seconds=seconds),
        progress=note,
        clock=lane_seconds,
        is_compiled=True,
        known=known,
    )
    return schedule, times[0], lane_seconds() - began


def _case(problem: Problem, known: Mapping[str, Booking], seconds: float) -> Case:
    first, first_s = _planned(problem, 60, known, tries=1)[::2]
    better, _, better_s = _planned(problem, 1.0, known)
    free = replace(problem, move_price=0.0)
    ruled = _told(_planned(free, 60, tries=10)[0], problem)
    long = _told(_planned(free, seconds, known)[0], problem) if seconds else None
    violations = len(check(problem, first)) + len(check(problem, better))
    return Case(first_s, better_s, first, better, ruled, long, violations)


def _told(schedule: Schedule, problem: Problem) -> Schedule:
    """The same plan, with what it moves."""
    return replace(schedule, objective=objective_of(problem, schedule.bookings))


def _late(schedule: Schedule) -> float:
    return schedule.objective.weighted_lateness_min


def _moves(schedule: Schedule) -> int:
    return len(schedule.objective.moved)


def _line(name: str, problem: Problem, case: Case) -> str:
    told = sum(1 for task in problem.tasks if task.told is not None)
    ways = {"first": case.first, "1 s": case.better, "rules": case.ruled, "long": case.long}
    said = "  ".join(f"{k} {_late(s):8.0f} ({_moves(s):3})" for k, s in ways.items() if s)
    ratio = "" if case.ratio is None else f"  {case.ratio:.3f}"
    return (
        f"{len(problem.tasks):5} tasks {told:4} told  {name:13} {said}{ratio}  "
        f"{case.first_s:.3f} / {case.better_s:.3f} s  {case.violations} violations"
    )


def _table(orders: int, cases: Sequence[Case]) -> Iterator[str]:
    yield f"{orders} orders, {len(cases)} events                      found     aim"
    yield f"  first answer, 95th percentile        {_high(c.first_s for c in cases):7.3f} s   0.15"
    yield f"  bettered, 95th percentile            {_high(c.better_s for c in cases):7.3f} s   1.00"
    ratios = [case.ratio for case in cases if case.ratio is not None]
    if ratios:
        mean = exp(sum(map(log, ratios)) / len(ratios))
        yield f"  late / long free search, mean        {mean:7.3f}     1.05"
        total = [sum(max(LEAST_LATE, _late(s)) for c in cases if (s := way(c))) for way in WAYS]
        yield f"  the same of all events together      {total[0] / total[1]:7.3f}     1.05"
        yield f"  the same, worst                      {max(ratios):7.3f}"
    moves = sum(_moves(c.better) for c in cases), sum(_moves(c.ruled) for c in cases)
    aim = GOALS.get(orders, 0.5)
    yield f"  moves / those of the best rule       {moves[0] / max(1, moves[1]):7.3f}     {aim}"
    yield f"  violations                           {sum(c.violations for c in cases):7}     0"


WAYS: tuple[Callable[[Case], Schedule | None], ...] = (lambda c: c.better, lambda c: c.long)


def _high(values: Iterator[float]) -> float:
    """The 95th percentile: what one in twenty is above."""
    ordered = sorted(values)
    return ordered[max(0, ceil(0.95 * len(ordered)) - 1)]
