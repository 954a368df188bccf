"""Dovetail halving: a splayed lap, worked by hand and held against being drawn out."""

from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orders.core.errors import RuleBroken
from orders.core.joints.dovetail_halving import DovetailHalving
from tests.orders.core.sections import section, studied

PART = section(48, 24)


def test_1_in_6_on_a_48_stem_is_as_worked_by_hand():
    """Neck 32: (48 + 32)/2 x 48 = 1920; 1167.89 + 576 + 192 = 1935.89."""
    study = studied("dovetail-halving", PART, PART, slope=6)
    assert study.glue.long_long_mm2 == pytest.approx(1920, abs=0.01)
    assert study.glue.long_end_mm2 == pytest.approx(1935.89, abs=0.01)


@given(lap=st.floats(20, 80), stem=st.floats(40, 120), half=st.floats(5, 20), slope=st.floats(5, 9))
@settings(max_examples=30)
def test_areas_follow_the_closed_form_at_any_size(lap, stem, half, slope):
    """Worked by hand: (W - l/s) l; 2 l sqrt(1 + 1/s2) T/2 + W T/2 + 2 (l/s) T/2."""
    a, b = section(lap, 2 * half), section(stem, 2 * half)
    study = studied("dovetail-halving", a, b, slope=slope)
    cheeks = 2 * lap * sqrt(1 + 1 / slope**2) * half
    assert study.glue.long_long_mm2 == pytest.approx((stem - lap / slope) * lap)
    assert study.glue.long_end_mm2 == pytest.approx(cheeks + stem * half + 2 * lap / slope * half)


def test_lifts_out_and_goes_no_other_way():
    holds = studied("dovetail-halving", PART, PART).holds
    assert holds.is_one_way
    assert holds.words == "Comes apart only off the face."


def test_dovetail_halving_holds_more_than_t_and_t_more_than_corner():
    held = [
        len(studied(code, PART, PART).holds.held_axes)
        for code in ("dovetail-halving", "t-halving", "corner-halving")
    ]
    assert held == [5, 4, 3]


def test_lap_without_a_neck_is_refused():
    with pytest.raises(RuleBroken, match="nothing at the neck") as refused:
        DovetailHalving.fitted(PART, PART, slope=2)
    assert refused.value.field == "slope"
    assert DovetailHalving.fitted(PART, PART, slope=refused.value.nearest)
