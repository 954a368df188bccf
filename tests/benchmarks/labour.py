"""What the labour model is worth, on invented shops of which the truth is known.

Run by hand: python -m tests.benchmarks.labour [--quick]. Every figure stands beside those of the
untouched standards, of the mean per cell, of the mean per joint type, and of somebody who knows
the truth. The shops are seeded by the numbers printed.

The shops are harder than the model: errors have heavy tails, every hand is better at some
operations, minutes are rounded, clockings are forgotten, begun late or booked wrongly.
"""

from __future__ import annotations

import argparse
import math
import resource
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from costing.core.labour import (
    BatchClocking,
    Fitted,
    PlannedBatch,
    hours_of,
    learn,
    learn_and_notice,
    suspects_of,
)
from costing.core.labour.predict import moments_of

JOINTS, OPERATIONS, HANDS, LINES = 12, 8, 6, 25
SCORED = 40
HARDNESSES = np.array([-0.5, -0.2, 0.0, 0.1, 0.4])
KNOWN_HARDNESS, KNOWN_SIZE = 0.30, 0.40
"""Powers that the standards already have in them."""


@dataclass(frozen=True)
class Kind:
    """How a shop differs from the model."""

    name: str = "usual"
    errors: Callable[[np.random.Generator, int], np.ndarray] = lambda rng, n: (
        rng.standard_t(8, n) * 0.30 / math.sqrt(8 / 6)
    )
    rounding: float = 5.0
    slips: tuple[float, float, float] = (0.04, 0.02, 0.01)
    drift: float = 0.0
    star: bool = False


KINDS = (
    Kind("heavy tails", errors=lambda rng, n: rng.standard_t(4, n) * 0.30 / math.sqrt(2)),
    Kind("gamma times", errors=lambda rng, n: np.log(rng.gamma(1 / 0.09, 0.09, n))),
    Kind("one-joint hand", star=True),
    Kind("drift", drift=-0.15),
    Kind("quarter hours", rounding=15.0),
)


@dataclass(frozen=True)
class Batch:
    """One batch with its truth."""

    planned: PlannedBatch
    hand: str
    minutes: float
    median: float
    is_bad: bool = False
    clocked: float = 0.0


@dataclass
class Shop:
    """A shop of known truth."""

    rng: np.random.Generator
    kind: Kind = field(default_factory=Kind)

    def __post_init__(self) -> None:
        rng = self.rng
        self.popular = np.exp(np.linspace(0, -math.log(25), JOINTS))
        self.popular /= self.popular.sum()
        self.setup = rng.uniform(3, 15, OPERATIONS)
        self.each = np.exp(rng.normal(math.log(6), 0.6, (JOINTS, OPERATIONS)))
        self.shift = rng.normal(0.05, 0.15)
        self.of_setup = rng.normal(0, 0.40, OPERATIONS)
        self.of_operation = rng.normal(0, 0.15, OPERATIONS)
        self.of_joint = rng.normal(0, 0.25, JOINTS)
        self.of_cell = rng.normal(0, 0.20, (JOINTS, OPERATIONS))
        self.of_hand = rng.normal(0, 0.15, HANDS)
        self.of_hand_at = rng.normal(0, 0.08, (HANDS, OPERATIONS))
        self.batch = rng.normal(-0.04, 0.03)

    def order(self, share: float = 1.0, jig: int | None = None) -> list[Batch]:
        """One order; `share` of the way from the first day to today, an operation halved by a jig."""
        rng = self.rng
        joints = rng.choice(JOINTS, LINES, p=self.popular)
        operations = rng.integers(0, OPERATIONS, LINES)
        hands = rng.integers(0, HANDS, LINES)
        pieces = 1 + rng.geometric(0.25, LINES)
        hardness = np.full(LINES, rng.choice(HARDNESSES))
        size = rng.normal(0, 0.35, LINES)
        unit = self.of_operation[operations] + self.of_joint[joints]
        unit = unit + self.of_cell[joints, operations] + self.batch * np.log(pieces)
        median = self.setup[operations] * np.exp(self.of_setup[operations])
        median = median + pieces * self.each[joints, operations] * np.exp(unit)
        median *= np.exp(self.shift + 0.35 * hardness + 0.45 * size + rng.normal(0, 0.10))
        median *= np.exp(self.of_hand[hands] + self.of_hand_at[hands, operations])
        median *= np.exp(self.kind.drift * share)
        if self.kind.star:
            median *= np.where((hands == 0) & (joints == 1), 0.6, 1.0)
        if jig is not None:
            median *= np.where(operations == jig, 0.5, 1.0)
        minutes = median * np.exp(self.kind.errors(rng, LINES))
        known = np.exp(KNOWN_HARDNESS * hardness + KNOWN_SIZE * size)
        return [
            Batch(
                planned=PlannedBatch(
                    joint=f"joint {joints[i]:02d}",
                    operation=f"operation {operations[i]}",
                    setup_min=float(self.setup[operations[i]] * known[i]),
                    each_min=float(self.each[joints[i], operations[i]] * known[i]),
                    pieces=int(pieces[i]),
                    hardness_ratio=float(math.exp(hardness[i])),
                    size_ratio=float(math.exp(size[i])),
                ),
                hand=f"hand {hands[i]}",
                minutes=float(minutes[i]),
                median=float(median[i]),
            )
            for i in range(LINES)
        ]

    def dirtied(self, batches: Sequence[Batch]) -> list[Batch]:
        """The same batches as they were clocked."""
        rng, step = self.rng, self.kind.rounding
        left_on, late, wrong = np.cumsum(self.kind.slips)
        found = []
        for batch in batches:
            chance = rng.random()
            minutes = batch.minutes
            if chance < left_on:
                minutes *= rng.uniform(2, 8)
            elif chance < late:
                minutes *= rng.uniform(0.1, 0.5)
            elif chance < wrong:
                minutes = batches[rng.integers(len(batches))].minutes * rng.uniform(0.5, 2)
            clocked = max(step, round(minutes / step) * step)
            found.append(replace(batch, clocked=clocked, is_bad=bool(chance < wrong)))
        return found

    def history(self, count: int) -> tuple[list[Batch], list[BatchClocking]]:
        """`count` clockings of as many orders as that needs, and the truth behind them."""
        batches: list[Batch] = []
        clockings: list[BatchClocking] = []
        orders = math.ceil(count / LINES)
        for number in range(orders):
            made = self.dirtied(self.order(number / max(1, orders)))
            batches += made
            day = 300.0 * number / max(1, orders)
            clockings += [
                clocking_of(batch, f"{number}-{place}", f"order {number}", day)
                for place, batch in enumerate(made)
            ]
        return batches[:count], clockings[:count]

    def knows(self, order: Sequence[Batch]) -> float:
        """The hours to expect of an order, for somebody who knows all but its luck."""
        spread2 = 0.3**2 + 0.10**2 + 0.15**2 + 0.08**2
        total = 0.0
        for batch in order:
            joint, operation = int(batch.planned.joint[6:]), int(batch.planned.operation[10:])
            hardness = math.log(batch.planned.hardness_ratio)
            size = math.log(batch.planned.size_ratio)
            unit = self.of_operation[operation] + self.of_joint[joint]
            unit += self.of_cell[joint, operation] + self.batch * math.log(batch.planned.pieces)
            minutes = self.setup[operation] * math.exp(self.of_setup[operation])
            minutes += batch.planned.pieces * self.each[joint, operation] * math.exp(unit)
            minutes *= math.exp(self.shift + 0.35 * hardness + 0.45 * size + self.kind.drift)
            total += minutes * math.exp(float(self.of_hand.mean()) + spread2 / 2)
        return total / 60


def clocking_of(batch: Batch, key: str, order: str, day: float) -> BatchClocking:
    """A batch as it was clocked."""
    plan = batch.planned
    return BatchClocking(
        key=key,
        joint=plan.joint,
        operation=plan.operation,
        hand=batch.hand,
        order=order,
        taken_min=batch.clocked,
        each_min=plan.each_min,
        setup_min=plan.setup_min,
        pieces=plan.pieces,
        hardness_ratio=plan.hardness_ratio,
        size_ratio=plan.size_ratio,
        day=day,
    )


def standard_hours(order: Sequence[Batch]) -> float:
    """What the untouched standards say."""
    return sum(b.planned.setup_min + b.planned.pieces * b.planned.each_min for b in order) / 60


class Mean:
    """Mean minutes a piece, by joint type and operation or by joint type: what a sheet would do."""

    def __init__(self, clockings: Sequence[BatchClocking], *, by_cell: bool) -> None:
        self.by_cell = by_cell
        cells: dict[object, list[float]] = defaultdict(list)
        for row in clockings:
            cells[self.cell(row)].append(row.taken_min / row.pieces)
        self.each = {cell: float(np.mean(found)) for cell, found in cells.items()}

    def cell(self, row: BatchClocking | PlannedBatch) -> object:
        return (row.joint, row.operation) if self.by_cell else row.joint

    def hours(self, order: Sequence[Batch]) -> float:
        total = 0.0
        for batch in order:
            plan = batch.planned
            each = self.each.get(self.cell(plan))
            standard = plan.setup_min + plan.pieces * plan.each_min
            total += standard if each is None else each * plan.pieces
        return total / 60


def score(count: int, shops: int, kind: Kind, seed: int) -> dict[str, float]:
    """Orders of many shops, each foretold from its history."""
    errors: dict[str, list[float]] = defaultdict(list)
    covered, kept, found, alarms = [], [], [], []
    for number in range(shops):
        shop = Shop(np.random.default_rng([seed, number, count]), kind)
        batches, clockings = shop.history(count)
        learned = learn(clockings)
        cell, joint = (Mean(clockings, by_cell=by_cell) for by_cell in (True, False))
        if count:
            f, a = flags(learned, batches, clockings)
            found += f
            alarms += a
        for _ in range(SCORED):
            order = shop.order()
            actual = sum(batch.minutes for batch in order) / 60
            hours = hours_of(learned, [batch.planned for batch in order])
            for name, foretold in (
                ("model", hours.p50),
                ("oracle", shop.knows(order) * math.exp(-0.5 * 0.14**2)),
                ("standards", standard_hours(order)),
                ("cell", cell.hours(order)),
                ("joint", joint.hours(order)),
            ):
                errors[name].append((foretold - actual) / actual)
            covered.append(hours.at(0.10) <= actual <= hours.at(0.90))
            kept.append(actual <= hours.p80)
    rmse = {name: float(np.sqrt(np.mean(np.square(found)))) for name, found in errors.items()}
    return {
        **{f"rmse {name}": value for name, value in rmse.items()},
        "to oracle": rmse["model"] / rmse["oracle"],
        "to naive": rmse["model"] / rmse["cell"],
        "oracle to naive": rmse["oracle"] / rmse["cell"],
        "bias": float(np.mean(errors["model"])),
        "covered": float(np.mean(covered)),
        "kept": float(np.mean(kept)),
        "found": float(np.mean(found)) if found else math.nan,
        "alarms": float(np.mean(alarms)) if alarms else math.nan,
    }


def flags(
    learned: Fitted, batches: Sequence[Batch], clockings: Sequence[BatchClocking]
) -> tuple[list[bool], list[bool]]:
    """Whether each gross error was found, and whether each sound clocking raised an alarm."""
    suspects = {suspect.clocking.key for suspect in suspects_of(learned)}
    found, alarms = [], []
    for batch, clocking in zip(batches, clockings, strict=True):
        is_gross = abs(math.log(clocking.taken_min / batch.median)) > math.log(3)
        if batch.is_bad and is_gross:
            found.append(clocking.key in suspects)
        elif not batch.is_bad:
            alarms.append(clocking.key in suspects)
    return found, alarms


def show(title: str, figures: dict[str, float]) -> None:
    print(f"{title:28}", "  ".join(f"{name} {value:.3f}" for name, value in figures.items()))


def jigs(shops: int, seed: int) -> None:
    """Whether a jig that halves an operation is noticed after ten clockings, and false alarms."""
    noticed = learned_well = false = 0
    for number in range(shops):
        shop = Shop(np.random.default_rng([seed, number]))
        clockings = shop.history(1000)[1]
        false += bool(learn_and_notice(clockings).layout.changes)
        seen, made = 0, 0
        while seen < 10:
            order = shop.dirtied(shop.order(jig=3))
            for place, batch in enumerate(order):
                if seen == 10:
                    break
                seen += batch.planned.operation == "operation 3"
                key = f"jig-{made}-{place}"
                clockings.append(clocking_of(batch, key, f"jig order {made}", 301.0 + made))
            made += 1
        learned = learn_and_notice(clockings)
        noticed += bool(learned.layout.changes)
        work = [
            batch.planned
            for _ in range(4)
            for batch in shop.order()
            if batch.planned.operation == "operation 3"
        ]
        means, _ = moments_of(learned, work)
        truth = 0.5 * shop.knows([Batch(plan, "", 0, 0) for plan in work]) * 60
        learned_well += abs(math.log(float(means.sum()) / truth)) < math.log(1.25)
    print(
        f"a jig that halves an operation: noticed in {noticed / shops:.0%} of {shops} shops, "
        f"learned to within 25 % in {learned_well / shops:.0%}; "
        f"false alarms in {false / shops:.1%} of shops"
    )


def dirt(shops: int, seed: int) -> None:
    """What bad clockings do."""
    for count in (100, 1000):
        clean = score(count, shops, Kind(slips=(0, 0, 0)), seed)["rmse model"]
        bad = score(count, shops, Kind(slips=(0.09, 0.04, 0.02)), seed)["rmse model"]
        print(f"{count} clockings, 15 % of them bad: RMSE x {bad / clean:.3f}")
    worst = lost = 0.0
    for number in range(shops):
        shop = Shop(np.random.default_rng([seed, number]))
        _, clockings = shop.history(1000)
        others = clockings[:500] + clockings[501:]
        spoiled = replace(clockings[500], taken_min=clockings[500].taken_min * 50)
        before, without, after = learn(clockings), learn(others), learn([*others, spoiled])
        for _ in range(10):
            order = [batch.planned for batch in shop.order()]
            known = hours_of(without, order).mean
            worst = max(worst, abs(hours_of(after, order).mean / known - 1))
            lost = max(lost, abs(known / hours_of(before, order).mean - 1))
    print(
        f"a clocking made fifty-fold moves no total by more than {worst:.2%} against leaving it "
        f"out; leaving a sound one out moves none by more than {lost:.2%}"
    )


def speed(seed: int) -> None:
    """Time and memory of a large refit, and of one order."""
    shop = Shop(np.random.default_rng(seed))
    _, clockings = shop.history(100_000)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.perf_counter()
    learned = learn(clockings)
    took = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(
        f"100,000 clockings of {100_000 // LINES} orders: {took:.2f} s in {learned.loops} loops, "
        f"{after / 1024:.0f} MB at most, {(after - before) / 1024:.0f} MB of them for the fit"
    )
    order = [batch.planned for _ in range(8) for batch in shop.order()]
    start = time.perf_counter()
    hours = hours_of(learned, order)
    print(f"an order of {len(order)} lines: {(time.perf_counter() - start) * 1000:.1f} ms")
    drawn = draws(learned, order, 20_000, shop.rng)
    for share in (0.5, 0.8, 0.9):
        apart = hours.at(share) / float(np.quantile(drawn, share)) - 1
        print(f"  P{share * 100:.0f} apart from 20,000 draws by {apart:+.2%}")


def draws(
    learned: Fitted, order: Sequence[PlannedBatch], count: int, rng: np.random.Generator
) -> np.ndarray:
    """Totals of an order by simulation."""
    means, shared = moments_of(learned, order)
    middle = np.log(means) - np.diag(shared) / 2
    logs = rng.multivariate_normal(middle, shared, size=count, method="cholesky")
    return np.exp(logs).sum(axis=1) / 60


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true", help="a fifth of the shops")
    parser.add_argument("--seed", type=int, default=2026)
    asked = parser.parse_args()
    part = 5 if asked.quick else 1
    for count, shops in ((0, 100), (20, 150), (100, 150), (1000, 80), (10_000, 60)):
        show(f"{count} clockings", score(count, max(2, shops // part), Kind(), asked.seed))
    for kind in KINDS:
        for count, shops in ((100, 80), (1000, 40)):
            title = f"{count}, {kind.name}"
            show(title, score(count, max(2, shops // part), kind, asked.seed))
    dirt(max(2, 60 // part), asked.seed)
    jigs(max(4, 100 // part), asked.seed)
    speed(asked.seed)


if __name__ == "__main__":
    main()
