"""Dovetail housing: locked against pulling out, worked by hand."""

from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orders.core.errors import RuleBroken
from orders.core.joints.dovetail_housing import DovetailHousing
from tests.orders.core.sections import section, studied


@given(
    width=st.floats(50, 400),
    thick=st.floats(12, 30),
    share=st.floats(0.2, 0.5),
    slope=st.floats(5, 9),
)
@settings(max_examples=30)
def test_areas_follow_the_closed_form_at_any_size(width, thick, share, slope):
    """Worked by hand: T W + W d + W d sqrt(1 + 1/s2) + W d/s, all of it long to end grain."""
    side = section(width, thick)
    deep = thick * share
    study = studied("dovetail-housing", side, side, depth_mm=deep, slope=slope)
    ends = thick * width + width * deep * (1 + sqrt(1 + 1 / slope**2) + 1 / slope)
    assert study.glue.long_end_mm2 == pytest.approx(ends)
    assert study.glue.total_mm2 == pytest.approx(ends)


def test_shelf_slides_only_and_cannot_be_pulled_out():
    holds = studied("dovetail-housing", section(200, 18), section(200, 18)).holds
    assert holds.free_axes == ("+z", "-z")
    assert holds.words == "Slides only square to both, either way."


def test_slope_through_the_whole_shelf_is_refused():
    with pytest.raises(RuleBroken, match="right through the shelf") as refused:
        DovetailHousing.fitted(section(200, 40), section(200, 5), depth_mm=20, slope=3)
    assert refused.value.field == "depth_mm"
    assert DovetailHousing.fitted(
        section(200, 40), section(200, 5), depth_mm=refused.value.nearest, slope=3
    )
