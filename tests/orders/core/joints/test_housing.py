"""Housing: no long grain, free to be pulled out, and what it refuses."""

import pytest

from orders.core.errors import RuleBroken
from orders.core.joints.housing import Housing
from tests.orders.core.sections import section, studied

SIDE, SHELF = section(200, 18), section(200, 18)


def test_through_housing_has_no_long_grain_to_glue():
    assert studied("housing", SIDE, SHELF).glue.long_long_mm2 == 0


def test_stopped_housing_no_longer_slides_forward():
    assert "+z" in studied("housing", SIDE, SHELF).holds.free_axes
    assert "+z" not in studied("housing", SIDE, SHELF, stop_mm=10).holds.free_axes


def test_pulling_out_is_warned_about():
    assert any("pulled out" in one.text for one in studied("housing", SIDE, SHELF).advice)


def test_housing_deeper_than_the_side_is_thick_is_refused():
    with pytest.raises(RuleBroken, match="right through the side") as refused:
        Housing.fitted(SIDE, SHELF, depth_mm=18)
    assert refused.value.nearest == 6


def test_stop_longer_than_the_shelf_is_wide_is_refused():
    with pytest.raises(RuleBroken, match="no housing"):
        Housing.fitted(SIDE, SHELF, stop_mm=200)


def test_saw_follows_both_walls_of_a_through_housing():
    """Each wall shows along the face (200) and at both edges (2 x 6)."""
    study = studied("housing", SIDE, SHELF)
    assert study.drivers.members[0].sawn_mm == pytest.approx(2 * (200 + 12))
