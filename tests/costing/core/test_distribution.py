"""How sure a total is, at the edges of what a float can tell apart."""

import pytest

from costing.core.distribution import Moments, distribution_of


@pytest.mark.parametrize(
    ("mean", "sd", "floor"),
    [(339.0, 2.2e-162, 0.0), (1e-300, 1e-290, 1e6), (1e6, 1e-11, 0.0), (0.0, 1.0, 5.0)],
)
def test_a_spread_too_small_to_tell_is_none(mean, sd, floor):
    total = distribution_of(Moments(mean=mean, variance=sd**2), floor)

    whole = mean + floor
    assert (total.p50, total.p90, total.at(0.995)) == (whole, whole, whole)
    assert total.chance_above(whole * 0.9) == 1.0
    assert total.chance_above(whole * 1.1) == 0.0


@pytest.mark.parametrize("sd", [1e-9, 1e-3, 1.0, 50.0])
def test_a_spread_that_can_be_told_lies_about_the_mean(sd):
    total = distribution_of(Moments(mean=300.0, variance=sd**2))

    assert total.at(0.01) < total.p50 < total.p80 < total.p90
    assert total.chance_above(total.p80) == pytest.approx(0.2, abs=1e-4)
