"""The fit held against statsmodels' mixed linear model, which knows nothing of ours.

No wrong clockings, no hands, no set-up: what is left of our model is a mixed model with crossed
effects of cells and orders, as Searle, Casella & McCulloch describe it. Statsmodels estimates it
by restricted maximum likelihood.
"""

import math
import warnings

import numpy as np
import pandas as pd
import pytest
from statsmodels.regression.mixed_linear_model import MixedLM

from costing.core.labour import BatchClocking, Priors, learn
from costing.core.labour.design import HARDNESS, SIZE

CELLS, ORDERS, LINES = 16, 15, 20
SMALL = 1e-3
PLAIN = Priors(
    all_work=5.0,
    hardness=5.0,
    size=5.0,
    trend=SMALL,
    batch=SMALL,
    setup=SMALL,
    operation=SMALL,
    joint=SMALL,
    cell=0.3,
    hand=SMALL,
    hand_operation=SMALL,
    order=0.15,
    residual=0.3,
    error_share=1e-9,
    group_weight=1e-3,
    residual_weight=1e-3,
    half_life_days=10_000,
)


@pytest.fixture(scope="module")
def rows():
    """Three hundred clockings of known truth."""
    rng = np.random.default_rng(11)
    of_cell, of_order = rng.normal(0, 0.30, CELLS), rng.normal(0, 0.15, ORDERS)
    found = []
    for order in range(ORDERS):
        for _ in range(LINES):
            cell = int(rng.integers(CELLS))
            hardness, size = rng.normal(0, 0.4), rng.normal(0, 0.4)
            above = 0.1 + 0.3 * hardness + 0.4 * size + of_cell[cell] + of_order[order]
            found.append((cell, order, hardness, size, above + rng.normal(0, 0.25)))
    return pd.DataFrame(found, columns=["cell", "order", "hardness", "size", "above"])


@pytest.fixture(scope="module")
def theirs(rows):
    """What statsmodels makes of them."""
    parts = {"cell": "0 + C(cell)", "order": "0 + C(order)"}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = MixedLM.from_formula(
            "above ~ hardness + size", groups=np.ones(len(rows)), vc_formula=parts, data=rows
        )
        return model.fit(reml=True)


@pytest.fixture(scope="module")
def ours(rows):
    """What we make of the same."""
    return learn(
        [
            BatchClocking(
                key=f"{place:04d}",
                joint=f"cell {row.cell:02d}",
                operation="cut",
                hand="",
                order=f"order {row.order:02d}",
                taken_min=10 * math.exp(row.above),
                each_min=10.0,
                hardness_ratio=math.exp(row.hardness),
                size_ratio=math.exp(row.size),
            )
            for place, row in enumerate(rows.itertuples())
        ],
        PLAIN,
    )


def test_powers_of_hardness_and_size_agree(ours, theirs):
    assert ours.effects[HARDNESS] == pytest.approx(theirs.params["hardness"], abs=0.01)
    assert ours.effects[SIZE] == pytest.approx(theirs.params["size"], abs=0.01)


def test_spreads_agree(ours, theirs):
    cell, order = theirs.vcomp
    assert math.sqrt(ours.variances["residual"]) == pytest.approx(math.sqrt(theirs.scale), rel=0.03)
    assert math.sqrt(ours.variances["cell"]) == pytest.approx(math.sqrt(cell), rel=0.05)
    assert math.sqrt(ours.variances["order"]) == pytest.approx(math.sqrt(order), rel=0.08)


def test_each_cell_is_drawn_as_far(ours, theirs):
    blups = theirs.random_effects[1.0]
    columns = ours.layout.columns["cell"]
    for number in range(CELLS):
        mine = ours.effects[columns[f"cell {number:02d}", "cut", "hand"]]
        assert mine == pytest.approx(blups[f"cell[C(cell)[{number}]]"], abs=0.03)
