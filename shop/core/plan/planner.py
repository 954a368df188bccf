"""Makes the plan: rules first, then the solver or a search, the best so far always kept."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from math import ceil
from time import monotonic

from orders.core.errors import RuleBroken, RulesBroken
from shop.core.plan.again import Line, mended
from shop.core.plan.conflict import conflict, told
from shop.core.plan.dispatch import BeyondHours, PinsClash, Placement, dispatch
from shop.core.plan.floor import Floor, lay_out, without_fixed_starts
from shop.core.plan.measure import Found, bound_of, objective_of, rank_of
from shop.core.plan.problem import Goal, Problem
from shop.core.plan.refuse import horizon_of, require_sound
from shop.core.plan.room import without_room
from shop.core.plan.rules import first_come, rules
from shop.core.plan.schedule import Booking, Budget, Progress, Schedule
from shop.core.plan.search import Search, engine_for
from shop.core.plan.span import SpanSearch, fits

SMALL_SHOP, SMALL_SPAN = 150, 600
"""Tasks that the solver takes whole; it was measured to do far more for a makespan."""
MOST_WAYS = 15_000
EFFORT_PER_EVALUATION = 0.01
SOLVER_SHARE = 0.7
SPAN_SOLVER_SHARE = 0.1
"""Of the seconds left, where `span` searches: it does more there, and the solver is for the proof."""
PIN_SHARE = 0.3
"""Of what is left, to find a plan that meets every pin where no rule does."""
SEARCH_SHARE = 0.2
"""Of what is left, before the solver is asked: a better hint is worth more to it than time."""
WRITING_S = 6e-5
"""Seconds for each task that are kept back to write the plan down."""
LOOK = 60
"""Evaluations that tell whether there is a plan at all."""
MENDED = "the plan in force"
UNHURRIED = 3.0
"""Seconds from which on a plan that is known is set beside those of the rules."""
CLASH = -1
"""Stands for the job before a missed pin where it is the pin's own place that is taken."""

Tell = Callable[[Progress], None]
Stop = Callable[[], bool]


def plan(
    problem: Problem,
    *,
    budget: Budget | None = None,
    seed: int = 0,
    progress: Tell | None = None,
    stop: Stop | None = None,
    clock: Callable[[], float] = monotonic,
    is_compiled: bool = False,
    known: Mapping[str, Booking] | None = None,
) -> Schedule:
    """The best plan found within the budget; a first one is there after a few rules.

    The same problem, seed and budget give the same plan unless the seconds run out or `stop`
    answers True; then the best so far is given. `progress` and `stop` are called in this thread,
    `stop` first after the first plan. `is_compiled` makes the search a hundred times as fast, once
    it is compiled (seconds, where no earlier run left it behind); the plan is the same. `known`
    are the bookings, by task, of the plan that the shop works to: put together again, it is the
    first that is tried, and in a hurry the only one that is searched from.

    Raises RuleBroken or RulesBroken when no plan can be made, with what to change.
    """
    planner = _Planner(problem, budget or Budget(), seed, progress, stop, clock, is_compiled)
    planner.known = known or {}
    require_sound(problem)
    try:
        return planner.run()
    except RuleBroken as fault:
        raise _explained(problem, fault) from None


def can_be_planned(problem: Problem) -> bool:
    """Whether a first plan is found for a sound problem, without bettering it."""
    planner = _Planner(
        problem, Budget(evaluations=LOOK, seconds=1.0), 0, None, None, monotonic, False
    )
    planner.wants_stop = lambda: planner.best is not None
    try:
        planner.run()
    except (RuleBroken, RulesBroken):
        return False
    return True


def _explained(problem: Problem, fault: RuleBroken) -> RuleBroken:
    """The fault with the fewest demands that cannot all hold, where there are several."""
    if not fault.field.endswith(("pinned_start", "horizon")):
        return fault
    demands = conflict(problem, can_be_planned)
    if len(demands) < 2:
        return fault
    return RuleBroken(fault.field, f"{fault.message} {told(demands)}")


class _Planner:
    def __init__(
        self,
        problem: Problem,
        budget: Budget,
        seed: int,
        progress: Tell | None,
        stop: Stop | None,
        clock: Callable[[], float],
        is_compiled: bool,
    ) -> None:
        self.problem, self.budget, self.seed = problem, budget, seed
        self.tell_progress, self.wants_stop, self.clock = progress, stop, clock
        self.is_compiled = is_compiled
        self.began = clock()
        self.seconds = self.budget.seconds - WRITING_S * len(problem.tasks)
        self.evaluations = 0
        self.best: Found | None = None
        self.bound, self.proved = 0.0, False
        self.missed: tuple[tuple[int, int], ...] = ()
        self.known: Mapping[str, Booking] = {}
        self.lines: Sequence[Line] = ()
        self.span_search: SpanSearch | None = None

    def run(self) -> Schedule:
        if not self.problem.tasks:
            return Schedule(
                bookings=(),
                objective=objective_of(self.problem, ()),
                method="nothing to plan",
                lower_bound=0.0,
                proved=True,
            )
        self.floor, first = self._first()
        self._try("first come, first served" if not self.lines else MENDED, first)
        self.bound = bound_of(self.floor, self.problem.goal)
        if not self._is_clash() and (not self.lines or self.budget.seconds >= UNHURRIED):
            self._run_rules()
        self._check_proof()
        if _is_small(self.floor, self.problem.goal) and (self.best is None or self._counts_all()):
            self._search(SEARCH_SHARE, first)
            self._solve(first)
        if self.best is None:
            self._search(PIN_SHARE, first)
        if self.best is None:
            raise self._missed_pin()
        self._search(1.0, first)
        return self._schedule()

    def _run_rules(self) -> None:
        for name, choose in rules(self.floor):
            if self.best is not None and self._is_over():
                break
            try:
                self._try(name, dispatch(self.floor, choose))
            except BeyondHours:
                self.evaluations += 1

    def _first(self) -> tuple[Floor, Placement]:
        """The floor over the shortest horizon that holds a first plan, and that plan."""
        for until, is_last in horizons(self.problem):
            floor = lay_out(self.problem, until)
            faults = without_room(self.problem, floor)
            if faults and is_last:
                raise faults[0] if len(faults) == 1 else RulesBroken(faults)
            if faults:
                continue
            try:
                return floor, self._mended_on(floor) or self._first_on(floor)
            except BeyondHours as beyond:
                if is_last:
                    raise self._no_room(beyond.job, until) from None
        raise AssertionError("the last horizon either plans or raises")

    def _mended_on(self, floor: Floor) -> Placement | None:
        """The plan that the shop works to, put together again; None where that cannot be."""
        if not self.known:
            return None
        engine = engine_for(self.is_compiled)
        try:
            self.lines = mended(
                self.problem, floor, self.known, engine, is_compiled=self.is_compiled
            )
        except (BeyondHours, PinsClash):
            return None
        placements = (line.placement for line in self.lines)
        return min(placements, key=lambda p: rank_of(floor, self.problem.goal, p), default=None)

    def _first_on(self, floor: Floor) -> Placement:
        """The first plan that fits the hours: the rules after the first are for tight ones.

        Where pins clash, only the solver can tell whether another order frees their places; it
        starts from a plan without the times that are pinned.
        """
        try:
            return dispatch(floor, first_come(floor))
        except PinsClash as clash:
            if not _is_small(floor, self.problem.goal):
                raise self._pin_taken(clash.job) from None
            loose = dispatch(without_fixed_starts(floor), first_come(floor))
            return replace(loose, missed=((clash.job, CLASH),))
        except BeyondHours as beyond:
            for _, choose in rules(floor):
                try:
                    return dispatch(floor, choose)
                except BeyondHours:
                    continue
            raise beyond from None

    def _counts_all(self) -> bool:
        """Whether the solver counts all that a plan is worth.

        It knows neither what moves and overtime cost nor work in progress and idle pieces.
        """
        floor = self.floor
        if self.problem.goal is Goal.MAKESPAN:
            return True
        has_overtime = any(mode.regular for job in floor.jobs for mode in job.modes)
        return (
            not has_overtime
            and floor.move_price + floor.prices.in_progress + floor.prices.idle <= 0
        )

    def _is_clash(self) -> bool:
        return any(earlier == CLASH for _, earlier in self.missed)

    def _try(self, name: str, placement: Placement) -> None:
        self.evaluations += 1
        self._keep(placement, name)
        self._report(name)

    def _keep(self, placement: Placement, method: str) -> None:
        if placement.missed:
            self.missed = self.missed or placement.missed
            return
        rank = rank_of(self.floor, self.problem.goal, placement)
        if self.best is None or rank < self.best.rank:
            self.best = Found(self.problem, self.floor, placement, method, rank)

    def _solve(self, first: Placement) -> None:
        """The whole shop to the solver, with the best plan as its hint.

        Where every rule missed a pin, the first try is the hint.
        """
        if self.proved or (self.best is not None and self._is_over()):
            return
        # The solver takes most of a second to load, so it is loaded only where it is used.
        from shop.core.plan.exact import solve

        left = self.budget.evaluations - self.evaluations
        answer = solve(
            self.floor,
            self.problem.goal,
            self.best.placement if self.best is not None else first,
            effort=left * SOLVER_SHARE * EFFORT_PER_EVALUATION,
            seconds=(self.seconds - (self.clock() - self.began)) * self._solver_share(),
            seed=self.seed,
            tell=self._report_solver,
        )
        self.evaluations += ceil(answer.effort / EFFORT_PER_EVALUATION)
        self.bound = max(self.bound, answer.bound)
        if answer.placement is not None:
            self._keep(answer.placement, "cp-sat")
            self.proved = self.proved or (answer.proved and self._counts_all())
        self._check_proof()
        self._report("cp-sat")

    def _search(self, share: float, first: Placement) -> None:
        """Anneals the best plan, for a share of what is left of the budget.

        Where every rule missed a pin it sets out from the first try, and one that meets them all is
        its first find.
        """
        if self.proved or self._is_clash() or self._is_over():
            return
        last = self.evaluations + (self.budget.evaluations - self.evaluations) * share
        now = self.clock()
        until = now + (self.seconds - (now - self.began)) * share
        search = self._search_from(self.best.placement if self.best is not None else first)
        now, took = self.clock(), 0.0
        while not (self.proved or search.is_idle or self._is_over()):
            if self.evaluations >= last or now + took > until:
                break
            self.evaluations += search.run(int(last) - self.evaluations)
            if (found := search.news()) is not None:
                self._keep(found, "search")
                self._check_proof()
            self._report("search")
            before, now = now, self.clock()
            took = now - before

    def _search_from(self, placement: Placement) -> Search | SpanSearch:
        """The search that the shop is fit for; one for the makespan goes on where it was."""
        goal = self.problem.goal
        if not fits(self.floor, goal):
            is_mended = self.best is not None and self.best.method == MENDED
            return Search(
                self.floor,
                goal,
                placement,
                seed=self.seed,
                is_compiled=self.is_compiled,
                lines=self.lines if is_mended else (),
            )
        if self.span_search is None:
            self.span_search = SpanSearch(
                self.floor, placement, seed=self.seed, is_compiled=self.is_compiled
            )
        return self.span_search

    def _solver_share(self) -> float:
        return SOLVER_SHARE if self.span_search is None else SPAN_SOLVER_SHARE

    def _check_proof(self) -> None:
        if self.best is not None and self.best.rank[0] <= self.bound + 1e-9:
            self.proved = True

    def _is_over(self) -> bool:
        return (
            self.evaluations >= self.budget.evaluations
            or self.clock() - self.began >= self.seconds
            or (self.wants_stop is not None and self.wants_stop())
        )

    def _report(self, method: str) -> None:
        if self.tell_progress is None:
            return
        share = max(
            self.evaluations / max(self.budget.evaluations, 1),
            (self.clock() - self.began) / max(self.budget.seconds, 1e-9),
        )
        self.tell_progress(
            Progress(
                method=method,
                share=min(1.0, share),
                evaluations=self.evaluations,
                count=None if self.best is None else partial(getattr, self.best, "objective"),
            )
        )

    def _report_solver(self, _: float) -> bool:
        self._report("cp-sat")
        return self.wants_stop is not None and self.wants_stop()

    def _schedule(self) -> Schedule:
        if self.best is None:
            raise AssertionError("there is a plan by now")
        return Schedule(
            bookings=self.best.bookings,
            objective=self.best.objective,
            method=self.best.method,
            lower_bound=self._bound_min(),
            proved=self.proved,
            evaluations=self.evaluations,
        )

    def _bound_min(self) -> float:
        minutes = self.bound * self.problem.tick_min
        if self.problem.goal is Goal.MAKESPAN:
            # The first tick may lie a little after `now`, from which the makespan counts.
            minutes += (self.floor.ticks.origin - self.problem.now) / timedelta(minutes=1)
        return minutes

    def _no_room(self, job: int, until: datetime) -> RuleBroken:
        task = self.problem.tasks[job]
        return RuleBroken(
            "horizon",
            f"“{task.name}” finds no room before {until:%Y-%m-%d}; plan further ahead, "
            "open more hours, or take work out.",
        )

    def _pin_taken(self, job: int) -> RuleBroken:
        task = self.problem.tasks[job]
        return RuleBroken(
            f"tasks/{job}/pinned_start",
            f"“{task.name}” is pinned to {task.pinned_start:%Y-%m-%d %H:%M}, but its station or "
            "hand is taken then by other pinned work or work under way; move one of the pins.",
        )

    def _missed_pin(self) -> RuleBroken:
        pinned, earlier = self.missed[0]
        if earlier == CLASH:
            return self._pin_taken(pinned)
        task, first = self.problem.tasks[pinned], self.problem.tasks[earlier]
        return RuleBroken(
            f"tasks/{pinned}/pinned_start",
            f"“{task.name}” is pinned to {task.pinned_start:%Y-%m-%d %H:%M}, but “{first.name}” "
            "before it cannot be done by then; pin it later, or free what comes before it.",
        )


def _is_small(floor: Floor, goal: Goal) -> bool:
    """Whether the solver can take the whole shop; its model knows set-ups as kept or not only."""
    if any(job.is_batched for job in floor.jobs):
        return False
    if any(mode.work_after for job in floor.jobs for mode in job.modes):
        return False
    ways = sum(len(job.modes) for job in floor.jobs)
    most = SMALL_SHOP if goal is Goal.LATENESS else SMALL_SPAN
    return len(floor.jobs) <= most and ways <= MOST_WAYS


def horizons(problem: Problem) -> Iterator[tuple[datetime, bool]]:
    """Ever longer looks ahead, so that a short plan does not pay for years of openings."""
    last = horizon_of(problem)
    near = [problem.now]
    near += [t.release for t in problem.tasks if t.release is not None]
    near += [t.pinned_start for t in problem.tasks if t.pinned_start is not None]
    until = max(near) + timedelta(days=70)
    while until < last:
        yield until, False
        until += 2 * (until - problem.now)
    yield last, True
