"""The closed form held against draws from the exact posterior of the same model.

The draws are of numpyro's NUTS on a fixed set of clockings with the spreads held at their priors;
tests/benchmarks/nuts.py made them. Ours is a linear approximation: it may be off by a small part
of what is unsure.
"""

import json
from pathlib import Path

import pytest

from costing.core.labour import BatchClocking, PlannedBatch, Priors, hours_of, learn
from costing.core.labour.design import ALL_WORK, HARDNESS, SIZE

FOUND = json.loads(Path(__file__).with_name("nuts.json").read_text(encoding="utf-8"))
HELD = Priors(
    **FOUND["spreads"],
    trend=1e-3,
    error_share=1e-9,
    group_weight=10_000,
    residual_weight=10_000,
    half_life_days=10_000,
)


@pytest.fixture(scope="module")
def ours():
    return learn([BatchClocking(**row) for row in FOUND["clockings"]], HELD)


@pytest.mark.parametrize(
    ("name", "place"), [("all_work", ALL_WORK), ("hardness", HARDNESS), ("size", SIZE)]
)
def test_what_bears_on_all_work_agrees(ours, name, place):
    mean, sd = FOUND["common"][name]

    assert ours.effects[place] == pytest.approx(mean, abs=0.2 * sd)
    assert ours.covariance[place, place] ** 0.5 == pytest.approx(sd, rel=0.1)


def test_each_cell_is_learned_as_far_and_as_surely(ours):
    columns = ours.layout.columns
    for name, (mean, sd) in FOUND["units"].items():
        joint, operation = name.split("/")
        places = [
            ALL_WORK,
            columns["cell"][joint, operation, "hand"],
            columns["joint"][joint],
            columns["operation"][operation, "hand"],
        ]
        own = ours.effects[places].sum()
        spread = ours.covariance[places][:, places].sum() ** 0.5
        assert own == pytest.approx(mean, abs=0.3 * sd), name
        assert spread == pytest.approx(sd, rel=0.15), name


def test_an_order_is_foretold_as_the_exact_posterior_foretells_it(ours):
    hours = hours_of(ours, [PlannedBatch(**row) for row in FOUND["planned"]])

    for name in ("mean", "p50", "p80", "p90"):
        assert getattr(hours, name) == pytest.approx(FOUND["hours"][name], rel=0.02), name
