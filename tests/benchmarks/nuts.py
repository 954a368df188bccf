"""A reference of the labour model by NUTS: python tests/benchmarks/nuts.py

Draws from the exact posterior of a small fixed set of clockings, with the spreads held at their
priors, and writes what it found beside the tests, which hold the closed form against it. It needs
numpyro, which nothing else does: pip install numpyro.

Source: Hoffman & Gelman, The No-U-Turn Sampler (2014), as numpyro implements it.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import numpy as np

KEPT = Path(__file__).parents[1] / "costing" / "core" / "labour" / "nuts.json"
SEED, CLOCKINGS, ORDERS = 20260417, 160, 12
JOINTS, OPERATIONS = ("dovetail", "dowel", "housing", "tenon"), ("chop", "fit", "mark", "saw")
HANDS = ("Ada", "Bo", "Cy")
SPREADS = {
    "all_work": 0.20,
    "hardness": 0.20,
    "size": 0.15,
    "batch": 0.06,
    "setup": 0.40,
    "operation": 0.20,
    "joint": 0.25,
    "cell": 0.20,
    "hand": 0.15,
    "hand_operation": 0.08,
    "order": 0.11,
    "residual": 0.30,
}


def fixed_clockings() -> list[dict[str, Any]]:
    """The clockings, of a truth that is drawn from wider spreads than the priors."""
    dice = np.random.default_rng(SEED)
    joint = {name: dice.normal(0, 0.3) for name in JOINTS}
    operation = {name: dice.normal(0, 0.25) for name in OPERATIONS}
    cell = {(j, o): dice.normal(0, 0.25) for j in JOINTS for o in OPERATIONS}
    setup = {name: dice.normal(0, 0.3) for name in OPERATIONS}
    hand = {name: dice.normal(0, 0.15) for name in HANDS}
    order = dice.normal(0, 0.1, ORDERS)
    found = []
    for number in range(CLOCKINGS):
        j, o = dice.choice(JOINTS), dice.choice(OPERATIONS)
        who, which = dice.choice(HANDS), int(dice.integers(ORDERS))
        pieces = int(dice.integers(1, 9))
        standard = 6.0 + 3 * OPERATIONS.index(o) + 2 * JOINTS.index(j)
        hardness, size = dice.lognormal(0, 0.3), dice.lognormal(0, 0.25)
        minutes = 8.0 * np.exp(setup[o]) + pieces * standard * np.exp(
            operation[o] + joint[j] + cell[j, o]
        )
        above = 0.1 + 0.25 * np.log(hardness) + 0.2 * np.log(size) + hand[who] + order[which]
        found.append(
            {
                "key": f"{number:03d}",
                "joint": str(j),
                "operation": str(o),
                "hand": str(who),
                "order": f"order {which:02d}",
                "taken_min": round(float(minutes * np.exp(above + dice.normal(0, 0.27))), 3),
                "setup_min": 8.0,
                "each_min": standard,
                "pieces": pieces,
                "hardness_ratio": round(float(hardness), 4),
                "size_ratio": round(float(size), 4),
            }
        )
    return found


def planned() -> list[dict[str, Any]]:
    """An order to be foretold: every cell once, by one hand."""
    return [
        {
            "joint": j,
            "operation": o,
            "hand": "Ada",
            "setup_min": 8.0,
            "each_min": 6.0 + 3 * OPERATIONS.index(o) + 2 * JOINTS.index(j),
            "pieces": 4,
        }
        for j in JOINTS
        for o in OPERATIONS
    ]


def codes(rows: list[dict[str, Any]], *names: str) -> tuple[np.ndarray, list[str]]:
    """The number of each row's name, and the names."""
    said = ["/".join(row[name] for name in names) for row in rows]
    known = sorted(set(said))
    return np.array([known.index(one) for one in said]), known


def main() -> int:
    """Draw, and write what was found."""
    import jax
    import numpyro
    import numpyro.distributions as dist
    from jax import numpy as jnp
    from numpyro.infer import MCMC, NUTS

    numpyro.enable_x64()
    rows, plan = fixed_clockings(), planned()
    groups = {
        "setup": codes(rows, "operation"),
        "operation": codes(rows, "operation"),
        "joint": codes(rows, "joint"),
        "cell": codes(rows, "joint", "operation"),
        "hand": codes(rows, "hand"),
        "hand_operation": codes(rows, "hand", "operation"),
        "order": codes(rows, "order"),
    }
    column = {
        name: np.array([row[name] for row in rows], dtype=float)
        for name in ("taken_min", "setup_min", "each_min", "pieces")
    }
    hardness = np.log([row["hardness_ratio"] for row in rows])
    size = np.log([row["size_ratio"] for row in rows])
    offset = 0.5 * sum(
        SPREADS[name] ** 2 for name in ("hand", "hand_operation", "order", "residual")
    )

    def model() -> None:
        common = {
            name: numpyro.sample(name, dist.Normal(0, SPREADS[name]))
            for name in ("all_work", "hardness", "size", "batch")
        }
        effect = {
            name: numpyro.sample(f"of_{name}", dist.Normal(0, SPREADS[name]).expand([len(known)]))[
                place
            ]
            for name, (place, known) in groups.items()
        }
        unit = effect["operation"] + effect["joint"] + effect["cell"]
        minutes = column["setup_min"] * jnp.exp(effect["setup"]) + column["pieces"] ** (
            1 + common["batch"]
        ) * column["each_min"] * jnp.exp(unit)
        expected = (
            jnp.log(minutes)
            + common["all_work"]
            + common["hardness"] * hardness
            + common["size"] * size
            + effect["hand"]
            + effect["hand_operation"]
            + effect["order"]
            - offset
        )
        numpyro.sample(
            "taken", dist.Normal(expected, SPREADS["residual"]), obs=np.log(column["taken_min"])
        )

    sampler = MCMC(NUTS(model), num_warmup=1_000, num_samples=2_500, num_chains=2)
    sampler.run(jax.random.PRNGKey(SEED))
    drawn = {name: np.asarray(values) for name, values in sampler.get_samples().items()}
    found = {
        "seed": SEED,
        "numpyro": numpyro.__version__,
        "spreads": SPREADS,
        "clockings": rows,
        "planned": plan,
        "common": {
            name: [float(drawn[name].mean()), float(drawn[name].std())]
            for name in ("all_work", "hardness", "size")
        },
        "units": units(drawn, groups),
        "hours": hours(drawn, groups, plan, offset),
    }
    KEPT.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    print(f"{len(drawn['all_work']):,} draws; written to {KEPT.name}")
    return 0


def units(drawn: dict[str, Any], groups: dict[str, Any]) -> dict[str, list[float]]:
    """Mean and spread of each cell's unit time, with the shift of all work, as a logarithm."""
    found = {}
    for place, name in enumerate(groups["cell"][1]):
        joint, operation = name.split("/")
        values = (
            drawn["all_work"]
            + drawn["of_cell"][:, place]
            + drawn["of_joint"][:, groups["joint"][1].index(joint)]
            + drawn["of_operation"][:, groups["operation"][1].index(operation)]
        )
        found[name] = [float(values.mean()), float(values.std())]
    return found


def hours(
    drawn: dict[str, Any], groups: dict[str, Any], plan: list[dict[str, Any]], offset: float
) -> dict[str, float]:
    """What the planned order will take: mean, P50, P80 and P90 of its hours."""
    dice = np.random.default_rng(SEED)
    draws = len(drawn["all_work"])
    total = np.zeros(draws)
    order = dice.normal(0, SPREADS["order"], draws)

    def of(group: str, name: str) -> Any:
        known = groups[group][1]
        if name in known:
            return drawn[f"of_{group}"][:, known.index(name)]
        return dice.normal(0, SPREADS[group], draws)

    cells = {f"{row['joint']}/{row['operation']}" for row in plan}
    unseen = {name: of("cell", name) for name in sorted(cells)}
    for row in plan:
        operation = row["operation"]
        unit = (
            of("operation", operation)
            + of("joint", row["joint"])
            + unseen[f"{row['joint']}/{operation}"]
        )
        minutes = row["setup_min"] * np.exp(of("setup", operation)) + row["pieces"] ** (
            1 + drawn["batch"]
        ) * row["each_min"] * np.exp(unit)
        above = drawn["all_work"] + of("hand", row["hand"]) + order - offset
        above += of("hand_operation", f"{row['hand']}/{operation}")
        total += minutes * np.exp(above + dice.normal(0, SPREADS["residual"], draws)) / 60
    p50, p80, p90 = (float(value) for value in np.percentile(total, [50, 80, 90]))
    return {"mean": float(total.mean()), "p50": p50, "p80": p80, "p90": p90}


if __name__ == "__main__":
    sys.exit(main())
