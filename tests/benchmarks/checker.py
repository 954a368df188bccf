"""Whether the checker finds nothing in good plans and everything in spoilt ones, at scale.

    python -m tests.benchmarks.checker [--shops 2000] [--mutants 300] [--first 0]

Plans shops of every shape (the clocks changing, leave, part days, nights, curing, overtime, prices,
set-ups, pins by station and hand, work under way) by the rules and a short search, and checks each
plan; then spoils as many plans as asked in one place and counts those that are not caught.
"""

from argparse import ArgumentParser
from collections import Counter
from time import process_time

from shop.core.plan.check import check
from shop.core.plan.planner import plan
from shop.core.plan.schedule import Budget
from tests.shop.core.plan.mutants import mutants
from tests.shop.core.plan.shops import a_random_shop
from tests.shop.core.plan.test_planner import with_setups_that_depend

SIZES = 24


def main() -> None:
    """Prints what was found."""
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--shops", type=int, default=2000)
    parser.add_argument("--mutants", type=int, default=300)
    parser.add_argument("--first", type=int, default=0)
    options = parser.parse_args()
    broken: Counter[str] = Counter()
    spoilt: Counter[str] = Counter()
    missed: Counter[str] = Counter()
    with_overtime = 0
    for seed in range(options.first, options.first + options.shops):
        problem = a_random_shop(seed, 1 + seed % SIZES)
        if seed % 3 == 0:
            problem = with_setups_that_depend(problem, seed)
        schedule = plan(problem, budget=Budget(evaluations=30), clock=process_time)
        with_overtime += bool(schedule.objective.overtime_min)
        for violation in check(problem, schedule):
            broken[violation.kind] += 1
            print(f"shop {seed}: {violation.message}")
        # The plans without a fault are spoilt, in turn, until there are enough.
        for name, worse in mutants(problem, schedule, seed):
            if spoilt.total() < options.mutants:
                spoilt[name] += 1
                if not check(problem, worse):
                    missed[name] += 1
                    print(f"shop {seed}: {name} is not caught")
    print(
        f"{options.shops} shops, {with_overtime} plans with overtime: {broken.total()} violations"
    )
    print(f"{spoilt.total()} spoilt plans ({dict(spoilt)}): {missed.total()} not caught")


if __name__ == "__main__":
    main()
