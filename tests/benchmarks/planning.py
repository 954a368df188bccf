"""How well and how fast the planner plans; figures, not tests.

    python -m tests.benchmarks.planning shops --seconds 10 --seeds 8 [--orders 10]
    python -m tests.benchmarks.planning solver --seconds 30
    python -m tests.benchmarks.planning replan --orders 33 --seeds 8 --seconds 20
    python -m tests.benchmarks.planning proved --shops 100 --seconds 10 --rival-seconds 60
    python -m tests.benchmarks.planning same
    python -m tests.benchmarks.planning flexible --data FOLDER --seconds 10 [--cpu] [--seed 1]
    python -m tests.benchmarks.planning classical --data FOLDER --seconds 10 [--cpu] [--seed 1]
    python -m tests.benchmarks.planning assembly --data FOLDER --seconds 10 --rival-seconds 60

`shops` plans invented joinery shops, beside the best of the rules; `solver` sets CP-SAT on the
whole model, with the best rule as its hint, beside the search; `replan` lets seven things happen to
a shop at work (`replanning`); `proved` counts how many small shops are solved of those that CP-SAT
proves; `same` holds the compiled kernel against the plain one. `flexible`, `classical` and
`assembly` (`spans`) read public instances from a folder that is not part of this project; `--cpu`
counts seconds of processor per lane of the search, for a machine that is busy: what goes in one
thread then has twice as long.
"""

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator, Sequence
from datetime import timedelta
from math import exp, log
from pathlib import Path
from time import perf_counter

from shop.core.plan.check import check
from shop.core.plan.compiled import get_ready
from shop.core.plan.dispatch import Placement, dispatch
from shop.core.plan.floor import Floor, lay_out
from shop.core.plan.measure import rank_of
from shop.core.plan.planner import plan
from shop.core.plan.problem import Problem
from shop.core.plan.rules import rules
from shop.core.plan.schedule import Budget, Progress, Schedule
from shop.core.plan.search import Search
from tests.benchmarks.proved import measure_proved
from tests.benchmarks.replanning import measure_replan
from tests.benchmarks.spans import measure_assembly, measure_classical, measure_flexible
from tests.shop.core.plan.shops import a_joinery_shop

MANY = 10**9


def timed(problem: Problem, budget: Budget) -> tuple[Schedule, float, float]:
    """The plan, the seconds to the first one and to the end."""
    times: list[float] = []
    began = perf_counter()

    def note(_: Progress) -> None:
        times.append(perf_counter() - began)

    schedule = plan(problem, budget=budget, progress=note, is_compiled=True)
    return schedule, times[0], perf_counter() - began


def best_rule(problem: Problem) -> tuple[Floor, Placement]:
    """The best that the rules make, and the floor it is on."""
    floor = lay_out(problem, problem.now + timedelta(days=400))
    placements = (dispatch(floor, choose) for _, choose in rules(floor))
    return floor, min(placements, key=lambda p: rank_of(floor, problem.goal, p))


def mean(ratios: Sequence[float]) -> float:
    """The geometric mean."""
    return exp(sum(map(log, ratios)) / len(ratios))


def measure_shops(options: Namespace) -> Iterator[str]:
    """One line per size: the best rule, what was found after it, and the times."""
    for orders in options.orders or (10, 35, 100):
        ratios = []
        for seed in range(options.seeds):
            problem = a_joinery_shop(seed, orders, people=4 if orders <= 10 else 6)
            ruled = timed(problem, Budget(evaluations=10))[0]
            budget = Budget(evaluations=MANY, seconds=options.seconds)
            found, first, total = timed(problem, budget)
            before = ruled.objective.weighted_lateness_min
            after = found.objective.weighted_lateness_min
            if before:
                ratios.append(max(after, 1) / before)
            yield (
                f"{len(problem.tasks):5} tasks  first {first:6.3f} s  "
                f"{before:9.0f} -> {after:9.0f}  {found.method:24} "
                f"{'proved' if found.proved else '':6} {total:5.1f} s  {found.evaluations} tries  "
                f"{len(check(problem, found))} violations"
            )
        if ratios:
            yield f"      geometric mean {mean(ratios):.2f}, worst {max(ratios):.2f}"


def measure_solver(options: Namespace) -> Iterator[str]:
    """The search against CP-SAT on the whole model, both from the best rule, in equal time."""
    from shop.core.plan.exact import solve

    for orders in options.orders or (10, 35):
        for seed in range(options.seeds):
            problem = a_joinery_shop(seed, orders, people=4 if orders <= 10 else 6)
            floor, first = best_rule(problem)
            seconds = options.seconds
            answer = solve(
                floor,
                problem.goal,
                first,
                effort=1e6,
                seconds=seconds,
                seed=0,
                tell=lambda _: False,
            )
            by_solver = rank_of(floor, problem.goal, answer.placement or first)[0]
            search = Search(floor, problem.goal, first, seed=0, is_compiled=True)
            began, best = perf_counter(), first
            while perf_counter() - began < seconds:
                search.run(10_000)
                best = search.news() or best
            by_search = rank_of(floor, problem.goal, best)[0]
            yield (
                f"{len(problem.tasks):5} tasks  rule {rank_of(floor, problem.goal, first)[0]:9.0f}  "
                f"solver {by_solver:9.0f}  search {by_search:9.0f}  "
                f"ratio {max(by_search, 1) / max(by_solver, 1):.2f}"
            )


def measure_same(options: Namespace) -> Iterator[str]:
    """The kernel compiled and as it stands: the same plan after the same tries."""
    for seed in range(options.seeds):
        problem = a_joinery_shop(seed, 8, people=3)
        floor, first = best_rule(problem)
        found = []
        for is_compiled in (True, False):
            search = Search(floor, problem.goal, first, seed=seed, is_compiled=is_compiled)
            left = 400
            while left > 0:
                left -= search.run(20)
            found.append(search.news())
        yield f"{len(problem.tasks):5} tasks  {'the same' if found[0] == found[1] else 'DIFFERENT'}"


def main() -> None:
    """Prints the figures of one family."""
    families = {
        "shops": measure_shops,
        "solver": measure_solver,
        "replan": measure_replan,
        "proved": measure_proved,
        "same": measure_same,
        "flexible": measure_flexible,
        "classical": measure_classical,
        "assembly": measure_assembly,
    }
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("family", choices=list(families))
    parser.add_argument("--data", type=Path, default=Path("instances"))
    parser.add_argument("--seconds", type=float, default=10)
    parser.add_argument("--seeds", type=int, default=2)
    parser.add_argument("--rival-seconds", type=float, default=60)
    parser.add_argument("--shops", type=int, default=100)
    parser.add_argument("--before-seconds", type=float, default=20)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--cpu", action="store_true")
    parser.add_argument("--orders", type=int, action="append")
    options = parser.parse_args()
    get_ready()
    for line in families[options.family](options):
        print(line, flush=True)


if __name__ == "__main__":
    main()
