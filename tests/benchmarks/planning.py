"""How well and how fast the planner plans; figures, not tests.

    python -m tests.benchmarks.planning shops
    python -m tests.benchmarks.planning flexible --data FOLDER --seconds 10

`shops` plans invented joinery shops. `flexible` reads public flexible job shop instances and their
best-known makespans (bks.csv) from a folder that is not part of this project.
"""

import csv
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from math import exp, log
from pathlib import Path
from time import perf_counter

from shop.core.plan.check import check
from shop.core.plan.planner import plan
from shop.core.plan.problem import Goal, Problem, Task
from shop.core.plan.schedule import Budget, Progress, Schedule
from tests.shop.core.plan.shops import a_joinery_shop, a_problem, a_station


def flexible_job_shop(path: Path) -> Problem:
    """An instance in the classical text format: jobs, machines; then the choices of each step."""
    lines = [line for line in path.read_text().splitlines() if line.strip()]
    jobs, machines = (int(word) for word in lines[0].split()[:2])
    tasks: list[Task] = []
    for job, line in enumerate(lines[1 : jobs + 1]):
        numbers = iter(int(word) for word in line.split())
        for step in range(next(numbers)):
            choices = {f"m{next(numbers)}": float(next(numbers)) for _ in range(next(numbers))}
            tasks.append(
                Task(
                    key=f"{job}.{step}",
                    minutes=min(choices.values()),
                    stations=tuple(choices),
                    minutes_on=choices,
                    after=(f"{job}.{step - 1}",) if step else (),
                )
            )
    stations = [a_station(f"m{machine}", calendar="always") for machine in range(machines)]
    return a_problem(stations, tasks, goal=Goal.MAKESPAN)


def timed(problem: Problem, budget: Budget) -> tuple[Schedule, float, float]:
    """The plan, the seconds to the first one and to the end."""
    times: list[float] = []
    began = perf_counter()

    def note(_: Progress) -> None:
        times.append(perf_counter() - began)

    schedule = plan(problem, budget=budget, progress=note)
    return schedule, times[0], perf_counter() - began


def measure_flexible(options: Namespace) -> Iterator[str]:
    """One line per instance, then the mean gap to the best known."""
    bounds = options.data / "bks.csv"
    if not bounds.exists():
        yield f"There is no {bounds}: name the folder of the public instances with --data."
        return
    gaps = []
    for row in csv.DictReader(bounds.open()):
        path = options.data / "instances" / row["file"]
        if path.exists():
            problem = flexible_job_shop(path)
            schedule, first, total = timed(
                problem, Budget(evaluations=10**6, seconds=options.seconds)
            )
            makespan, best = schedule.objective.makespan_min, float(row["upper_bound"])
            gaps.append(makespan / best - 1)
            yield (
                f"{path.stem:24} {len(problem.tasks):4} tasks  first {first:6.3f} s  "
                f"{makespan:6.0f} / {best:6.0f}  gap {gaps[-1]:6.1%}  {schedule.method:24} "
                f"{'proved' if schedule.proved else '':6} {total:5.1f} s  "
                f"{len(check(problem, schedule))} violations"
            )
    yield f"mean gap {sum(gaps) / len(gaps):.2%}, worst {max(gaps):.2%}, {len(gaps)} instances"


def measure_shops(options: Namespace) -> Iterator[str]:
    """One line per size: the best rule, what was found after it, and the times."""
    for orders in (4, 10, 35, 100):
        ratios = []
        for seed in range(options.seeds):
            problem = a_joinery_shop(seed, orders, people=5)
            rules, first, ruled = timed(problem, Budget(evaluations=10, seconds=options.seconds))
            budget = Budget(evaluations=options.evaluations, seconds=options.seconds)
            found, _, total = timed(problem, budget)
            before = rules.objective.weighted_lateness_min
            after = found.objective.weighted_lateness_min
            ratios.append(max(after, 1) / max(before, 1))
            yield (
                f"{len(problem.tasks):5} tasks  first {first:6.3f} s  rules {ruled:6.3f} s  "
                f"{before:9.0f} -> {after:9.0f}  {found.method:24} "
                f"{'proved' if found.proved else '':6} {total:5.1f} s  "
                f"{len(check(problem, found))} violations"
            )
        yield f"      geometric mean {exp(sum(map(log, ratios)) / len(ratios)):.2f}"


def main() -> None:
    """Prints the figures of one family."""
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("family", choices=["shops", "flexible"])
    parser.add_argument("--data", type=Path, default=Path("instances"))
    parser.add_argument("--seconds", type=float, default=10)
    parser.add_argument("--evaluations", type=int, default=400)
    parser.add_argument("--seeds", type=int, default=2)
    options = parser.parse_args()
    families = {"shops": measure_shops, "flexible": measure_flexible}
    for line in families[options.family](options):
        print(line, flush=True)


if __name__ == "__main__":
    main()
