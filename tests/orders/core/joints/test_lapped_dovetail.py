"""Lapped dovetail: areas by the closed form, and a lap that stays."""

from math import sqrt

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from orders.core.book import study
from orders.core.errors import RuleBroken
from orders.core.joints.lapped_dovetail import LappedDovetail
from tests.orders.core.sections import section, studied

FRONT, SIDE = section(150, 20), section(150, 14)


@given(
    width=st.floats(60, 250),
    front=st.floats(12, 30),
    side=st.floats(8, 20),
    share=st.floats(0.15, 0.5),
    count=st.integers(1, 5),
)
@settings(max_examples=25)
def test_areas_follow_the_closed_form_at_any_size(width, front, side, share, count):
    """Worked by hand: cheeks as in a through dovetail of length d, and the tails' ends."""
    try:
        joint = LappedDovetail.fitted(
            section(width, front), section(width, side), lap_mm=front * share, tail_count=count
        )
    except RuleBroken:
        assume(False)
    found = study(joint)
    deep, slope = front * (1 - share), joint.slope
    wide = (width - 2 * joint.half_pin_width_mm - (count - 1) * joint.pin_width_mm) / count
    cheeks = 2 * count * side * deep * sqrt(1 + 1 / slope**2)
    shoulders = side * (width - count * (wide - 2 * deep / slope))
    ends = shoulders + count * deep * (wide - deep / slope) + count * wide * side
    assert found.glue.long_long_mm2 == pytest.approx(cheeks, rel=1e-6)
    assert found.glue.long_end_mm2 == pytest.approx(ends, rel=1e-6)


def test_only_the_grain_of_the_front_is_free():
    assert studied("lapped-dovetail", FRONT, SIDE).holds.free_axes == ("+y",)


def test_side_is_longer_by_its_tails_and_not_by_the_lap():
    assert studied("lapped-dovetail", FRONT, SIDE).b_length_in_joint_mm == 15


def test_lap_as_thick_as_the_front_is_refused():
    with pytest.raises(RuleBroken, match="no room for tails") as refused:
        LappedDovetail.fitted(FRONT, SIDE, lap_mm=20)
    assert refused.value.field == "lap_mm"
    assert refused.value.nearest == 5
