"""The whole shop as a constraint model on the wall clock, every variable hinted from a plan.

A job's start decides which pauses it meets, and few pauses differ; so each job has one literal per
pause, with the starts that lead to it. Lags and curing are then plain sums, and hours may differ
from hand to hand. A complete hint was measured to make the difference between a first plan at
once and none in half a minute.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from ortools.sat.python import cp_model

from shop.core.plan.dispatch import Placement
from shop.core.plan.floor import Floor, Job
from shop.core.plan.hours import Hours
from shop.core.plan.limits import held, is_whole, latest, pause_groups, sharing
from shop.core.plan.problem import Goal
from shop.core.plan.trips import Trips, numbered

WEIGHT_SCALE = 1000


@dataclass(slots=True)
class _Work:
    """The variables of one job.

    `modes` are (mode, set-up kept, literal); `steady` says by calendar and work how many ticks the
    job always lasts there, where that is always the same.
    """

    start: Any
    end: Any
    size: Any
    modes: list[tuple[int, bool, Any]] = field(default_factory=list)
    steady: dict[tuple[int, int], int | None] = field(default_factory=dict)


class Model:
    """The variables and rules; `is_whole` says that no better plan lies outside of it."""

    def __init__(self, floor: Floor, goal: Goal, known: Placement) -> None:
        self.floor, self.known = floor, known
        self.model = cp_model.CpModel()
        self.latest = latest(floor, goal, known)
        self.is_whole = is_whole(floor, goal)
        self.held = held(floor, known)
        self.sharing = sharing(floor)
        self.works = [self._work(job) for job in floor.jobs]
        for job in floor.jobs:
            for i in job.before:
                self.model.add(self.works[job.index].start >= self.works[i].end + job.lag)
        self._resources()
        for station in sorted(self.sharing):
            self._row(station)
        self.scale = 1.0
        self._goal(goal)

    def read(self, solver: cp_model.CpSolver) -> Placement:
        """The placement that the solver found."""
        return Placement(
            tuple(
                next(number for number, _, used in work.modes if solver.value(used))
                for work in self.works
            ),
            tuple(solver.value(work.start) for work in self.works),
            tuple(solver.value(work.end) for work in self.works),
        )

    def _bool(self, name: str, hint: bool) -> Any:
        variable = self.model.new_bool_var(name)
        self.model.add_hint(variable, hint)
        return variable

    def _work(self, job: Job) -> _Work:
        i, model = job.index, self.model
        first = job.release if job.fixed_start is None else job.fixed_start
        start = model.new_int_var(first, self.latest[i], f"start {i}")
        end = model.new_int_var(first, self.latest[i], f"end {i}")
        hinted = self.known.start[i], self.known.end[i]
        if job.under_way:
            model.add(start == hinted[0])
        elif job.fixed_start is not None:
            model.add(start == job.fixed_start)
        longest = max(self.latest[i] - first, 1)
        size = model.new_int_var(1, longest, f"size {i}")
        model.add(end == start + size)
        for variable, value in [(start, hinted[0]), (end, hinted[1])]:
            model.add_hint(variable, value)
        model.add_hint(size, hinted[1] - hinted[0])
        work = _Work(start, end, size)
        self._modes(job, work)
        return work

    def _modes(self, job: Job, work: _Work) -> None:
        """One mode is used; the hours and the ticks of work that it brings hold then."""
        i, model = job.index, self.model
        chosen = self.known.mode[i]
        classes: dict[tuple[int, int], list[tuple[Any, bool]]] = {}
        for number, mode in enumerate(job.modes):
            can_keep = mode.station in self.sharing and job.family != ""
            for kept in [False, True] if can_keep and mode.work != mode.work_setup else [False]:
                ticks = mode.work if kept else mode.work_setup
                hint = number == chosen and self._lasts(mode.hours, job, ticks)
                used = self._bool(f"mode {i} {number} {kept}", hint)
                work.modes.append((number, kept, used))
                classes.setdefault((mode.calendar, ticks), []).append((used, hint))
        model.add_exactly_one(used for _, _, used in work.modes)
        if job.under_way:
            model.add_bool_or(used for number, _, used in work.modes if number == chosen)
        for (calendar, ticks), members in classes.items():
            if calendar < -1:
                self._trips(job, work, self.floor.trips[numbered(calendar)])
                work.steady[calendar, ticks] = None
                continue
            hours = self.floor.calendars[calendar] if calendar >= 0 else None
            hint, literal = any(hint for _, hint in members), None
            if len(classes) > 1:
                literal = self._bool(f"class {i} {calendar} {ticks}", hint)
                model.add(sum(used for used, _ in members) == literal)
            work.steady[calendar, ticks] = self._pauses(job, work, hours, ticks, literal, hint)

    def _lasts(self, hours: Hours | Trips | None, job: Job, ticks: int) -> bool:
        """Whether the known place of a job is that of so many ticks of work."""
        start, end = self.known.start[job.index], self.known.end[job.index]
        if hours is None:
            return end - start == ticks
        return hours.fit(start, ticks, job.breakable) == (start, end)

    def _trips(self, job: Job, work: _Work, trips: Trips) -> None:
        """What is away leaves on one of its trips; nothing else does its work."""
        i, model, literals = job.index, self.model, []
        for start, end, back in zip(trips.starts, trips.ends, trips.backs, strict=True):
            if max(start + 1, back) <= self.latest[i]:
                hint = start <= self.known.start[i] < end
                literal = self._bool(f"trip {i} {start}", hint)
                literals.append(literal)
                span = cp_model.Domain(start, end - 1)
                held = model.add_linear_expression_in_domain(work.start, span)
                held.only_enforce_if(literal)
                ends = work.end == back if back >= end else work.size == 1
                model.add(ends).only_enforce_if(literal)
        model.add_exactly_one(literals)

    def _pauses(
        self, job: Job, work: _Work, hours: Hours | None, ticks: int, when: Any | None, holds: bool
    ) -> int | None:
        """Ties the size to the start: the work and the pauses that it meets from there.

        Gives the size back where it is always the same.
        """
        i, model = job.index, self.model
        if hours is None:
            held = model.add(work.size == ticks)
            if when is not None:
                held.only_enforce_if(when)
            return ticks
        groups = pause_groups(hours, ticks, job.breakable, self.latest[i])
        literals = []
        for pause, spans in groups.items():
            domain = cp_model.Domain.from_intervals(spans)
            if len(groups) == 1:
                conditions = [] if when is None else [when]
            else:
                size = self.known.end[i] - self.known.start[i]
                hint = holds and domain.contains(self.known.start[i]) and size == ticks + pause
                literal = self._bool(f"pause {i} {ticks} {pause}", hint)
                literals.append(literal)
                conditions = [literal]
            for held in (
                model.add(work.size == ticks + pause),
                model.add_linear_expression_in_domain(work.start, domain),
            ):
                if conditions:
                    held.only_enforce_if(*conditions)
        if literals:
            model.add(sum(literals) == (1 if when is None else when))
        elif not groups:
            model.add_bool_or([] if when is None else [when.negated()])
        return ticks + min(groups) if len(groups) == 1 else None

    def _resources(self) -> None:
        uses: list[list[tuple[Any, int]]] = [[] for _ in self.floor.capacity]
        for job, work in zip(self.floor.jobs, self.works, strict=True):
            members: dict[int, list[Any]] = {}
            sizes: dict[int, set[int | None]] = {}
            for number, kept, used in work.modes:
                mode = job.modes[number]
                size = work.steady[mode.calendar, mode.work if kept else mode.work_setup]
                for resource in mode.uses:
                    members.setdefault(resource, []).append(used)
                    sizes.setdefault(resource, set()).add(size)
            for resource, literals in members.items():
                present = self._any_of(job, work, resource, literals)
                size = next(iter(sizes[resource])) if len(sizes[resource]) == 1 else None
                uses[resource].append((self._interval(work, present, 0, size), 1))
                if not job.under_way and resource in self.held:
                    behind = self.model.add(work.start >= self.held[resource])
                    if present is not None:
                        behind.only_enforce_if(present)
            for resource, count in job.gear:
                uses[resource].append((self._interval(work, None, job.gear_hold), count))
        for capacity, users in zip(self.floor.capacity, uses, strict=True):
            if capacity == 1:
                self.model.add_no_overlap(interval for interval, _ in users)
            elif sum(count for _, count in users) > capacity:
                self.model.add_cumulative(
                    [interval for interval, _ in users], [count for _, count in users], capacity
                )

    def _any_of(self, job: Job, work: _Work, resource: int, literals: list[Any]) -> Any | None:
        """One literal for "uses the resource"; None when it always does."""
        if len(literals) == len(work.modes):
            return None
        if len(literals) == 1:
            return literals[0]
        hint = resource in job.modes[self.known.mode[job.index]].uses
        present = self._bool(f"uses {job.index} {resource}", hint)
        self.model.add(sum(literals) == present)
        return present

    def _interval(
        self, work: _Work, present: Any | None, hold: int, steady: int | None = None
    ) -> Any:
        if steady is not None:
            # The solver reasons better on a length it knows than on one that it must work out.
            if present is None:
                return self.model.new_fixed_size_interval_var(work.start, steady, "")
            return self.model.new_optional_fixed_size_interval_var(work.start, steady, present, "")
        size, end = work.size + hold, work.end + hold
        if present is None:
            return self.model.new_interval_var(work.start, size, end, "")
        return self.model.new_optional_interval_var(work.start, size, end, present, "")

    def _row(self, station: int) -> None:
        """The order of jobs on a station where a set-up can be kept."""
        model, jobs = self.model, self.floor.jobs
        on_station: list[tuple[Job, list[Any], list[Any]]] = []
        for job, work in zip(jobs, self.works, strict=True):
            here = [u for u in work.modes if job.modes[u[0]].station == station]
            if here:
                kept = [used for _, keeps, used in here if keeps]
                on_station.append((job, [used for _, _, used in here], kept))
        known = [
            n
            for n, (job, _, _) in enumerate(on_station)
            if job.modes[self.known.mode[job.index]].station == station
        ]
        known.sort(key=lambda n: self.known.start[on_station[n][0].index])
        pairs = set(zip([-1, *known], [*known, -1], strict=True))
        arcs: list[tuple[int, int, Any]] = []
        arcs.append((0, 0, self._bool(f"row {station} empty", not known)))
        for n, (job, used, kept) in enumerate(on_station):
            absent = self._bool(f"row {station} without {n}", n not in known)
            model.add(sum(used) + absent == 1)
            arcs.append((n + 1, n + 1, absent))
            first = self._bool(f"row {station} first {n}", (-1, n) in pairs)
            arcs.append((0, n + 1, first))
            arcs.append((n + 1, 0, self._bool(f"row {station} last {n}", (n, -1) in pairs)))
            self._after_family(first, self.floor.family[station], job, kept)
            for m, (other, _, _) in enumerate(on_station):
                if m != n:
                    arc = self._bool(f"row {station} {m} {n}", (m, n) in pairs)
                    arcs.append((m + 1, n + 1, arc))
                    model.add(
                        self.works[job.index].start >= self.works[other.index].end
                    ).only_enforce_if(arc)
                    self._after_family(arc, other.family, job, kept)
        model.add_circuit(arcs)

    def _after_family(self, arc: Any, family: str, job: Job, kept: list[Any]) -> None:
        if not kept:
            return
        if family == job.family:
            self.model.add(sum(kept) == 1).only_enforce_if(arc)
        else:
            self.model.add(sum(kept) == 0).only_enforce_if(arc)

    def _goal(self, goal: Goal) -> None:
        model, floor, ends = self.model, self.floor, self.known.end
        if goal is Goal.MAKESPAN:
            makespan = model.new_int_var(0, max(self.latest, default=0), "makespan")
            model.add_hint(makespan, max(ends, default=0))
            for work in self.works:
                model.add(makespan >= work.end)
            model.minimize(makespan)
            return
        prices = [*floor.weight, *floor.late_price, floor.prices.setup]
        self.scale = 1.0 if all(price == int(price) for price in prices) else float(WEIGHT_SCALE)
        terms = [*self._setups()]
        for order, (due, weight) in enumerate(zip(floor.due, floor.weight, strict=True)):
            members = [i for i, o in enumerate(floor.in_order) if o == order]
            if due is None or not members:
                continue
            terms.append(self._is_late(order, due, members))
            if weight == 0:
                continue
            most = max(0, max(self.latest[i] for i in members) - due)
            late = model.new_int_var(0, most, f"late {order}")
            model.add_hint(late, max(0, max(ends[i] for i in members) - due))
            for i in members:
                model.add(late >= self.works[i].end - due)
            terms.append(int(weight * self.scale) * late)
        model.minimize(sum(terms))

    def _is_late(self, order: int, due: int, members: list[int]) -> Any:
        """What it counts that an order is late at all."""
        price = int(self.floor.late_price[order] * self.scale)
        if price <= 0:
            return 0
        is_late = self._bool(f"is late {order}", max(self.known.end[i] for i in members) > due)
        for i in members:
            self.model.add(self.works[i].end <= due).only_enforce_if(is_late.negated())
        return price * is_late

    def _setups(self) -> Iterator[Any]:
        """What the set-ups count that the modes in use bring with them."""
        price = int(self.floor.prices.setup * self.scale)
        for job, work in zip(self.floor.jobs, self.works, strict=True):
            for number, kept, used in work.modes:
                mode = job.modes[number]
                if price > 0 and not kept and mode.work_setup > mode.work:
                    yield price * (mode.work_setup - mode.work) * used
