"""Learning curves against printed tables."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.core.learning import batch_factor, cumulative_average, unit_time
from orders.core.errors import RuleBroken


@pytest.mark.parametrize(
    ("slope", "second", "tenth", "hundredth", "ten", "hundred"),
    [
        (0.80, 0.8000, 0.4765, 0.2271, 6.315, 32.651),
        (0.85, 0.8500, 0.5828, 0.3397, 7.116, 43.754),
        (0.90, 0.9000, 0.7047, 0.4966, 7.994, 58.141),
        (0.95, 0.9500, 0.8433, 0.7112, 8.954, 76.586),
    ],
)
def test_crawford_units_and_totals(slope, second, tenth, hundredth, ten, hundred):
    """Own arithmetic; the tables in RAND RM-6191 cover the same slopes."""
    assert unit_time(1, 2, slope) == pytest.approx(second, abs=5e-5)
    assert unit_time(1, 10, slope) == pytest.approx(tenth, abs=5e-5)
    assert unit_time(1, 100, slope) == pytest.approx(hundredth, abs=5e-5)
    assert batch_factor(10, slope) == pytest.approx(ten, abs=5e-4)
    assert batch_factor(100, slope) == pytest.approx(hundred, abs=5e-4)


def test_the_published_values_of_the_125th_unit():
    """AFIT-R/learningCurve vignette (CRAN): 100 hours, 85 %."""
    assert unit_time(100, 125, 0.85) == pytest.approx(32.23647, abs=5e-6)
    assert 100 * batch_factor(125, 0.85) == pytest.approx(5201.085, abs=5e-4)


def test_wright_doubling():
    """100 hours at 80 %: averages 100, 80, 64, 51.2, 40.96; textbook table."""
    averages = [cumulative_average(100, pieces, 0.8) for pieces in (1, 2, 4, 8, 16)]
    assert averages == pytest.approx([100, 80, 64, 51.2, 40.96])


def test_the_formula_beyond_the_sum_agrees_with_the_sum():
    exact = sum(number**-0.15200309344504997 for number in range(1, 10_001))
    assert batch_factor(10_000, 0.9) == pytest.approx(exact, rel=1e-12)


@given(st.integers(0, 5000), st.floats(0.6, 1))
def test_a_larger_batch_always_takes_longer(pieces, slope):
    assert batch_factor(pieces + 1, slope) > batch_factor(pieces, slope)


def test_an_absurd_slope_is_refused():
    with pytest.raises(RuleBroken, match="from 0"):
        batch_factor(3, 85.0)
