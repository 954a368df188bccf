"""Student's t against its printed table."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.core.student import t_cdf, t_quantile


@pytest.mark.parametrize(
    ("freedom", "tenth", "fortieth"),
    [
        (1, 3.078, 12.706),
        (2, 1.886, 4.303),
        (3, 1.638, 3.182),
        (4, 1.533, 2.776),
        (5, 1.476, 2.571),
        (10, 1.372, 2.228),
        (20, 1.325, 2.086),
        (30, 1.310, 2.042),
        (120, 1.289, 1.980),
    ],
)
def test_quantiles_are_the_printed_ones(freedom, tenth, fortieth):
    """Abramowitz & Stegun, Handbook of Mathematical Functions, table 26.10."""
    assert t_quantile(0.90, freedom) == pytest.approx(tenth, abs=6e-4)
    assert t_quantile(0.975, freedom) == pytest.approx(fortieth, abs=6e-4)


def test_the_two_methods_meet():
    assert t_quantile(0.9, 200) == pytest.approx(t_quantile(0.9, 201), abs=1e-4)


@given(st.floats(0.01, 0.99), st.integers(1, 200))
def test_the_quantile_inverts_the_chance(share, freedom):
    assert t_cdf(t_quantile(share, freedom), freedom) == pytest.approx(share, abs=1e-9)
