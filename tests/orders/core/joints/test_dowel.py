"""Dowel: area of the rods, the 45-degree rule, and what does not fit."""

from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orders.core.errors import RuleBroken
from orders.core.joints.dowel import Dowel
from tests.orders.core.sections import section, studied

STILE, RAIL = section(48, 24), section(60, 24)


def test_two_dowels_of_8_mm_have_the_area_worked_by_hand():
    """Cylinder 2 x pi x 8 x 55 = 2764.60; half of the wall in the stile counts as end grain."""
    study = studied("dowel", STILE, RAIL, diameter_mm=8, depth_b_mm=30, depth_a_mm=25)
    assert study.glue.long_long_mm2 == pytest.approx(2136.28, abs=0.01)
    assert study.glue.long_end_mm2 == pytest.approx(1967.79, abs=0.01)
    rods = [face for face in study.contacts if face.to_key == "dowel"]
    assert sum(face.area_mm2 for face in rods) == pytest.approx(2764.60, abs=0.01)


@given(
    count=st.integers(1, 3),
    diameter=st.floats(4, 10),
    depth_a=st.floats(5, 35),
    depth_b=st.floats(5, 60),
)
@settings(max_examples=20)
def test_areas_follow_the_closed_form_at_any_size(count, diameter, depth_a, depth_b):
    """Worked by hand: LL n pi D (hA + hB/2), LE n pi D hB/2 + T H - n pi D^2/4."""
    study = studied(
        "dowel",
        STILE,
        RAIL,
        dowel_count=count,
        diameter_mm=diameter,
        depth_a_mm=depth_a,
        depth_b_mm=depth_b,
    )
    round_mm = count * pi * diameter
    face = 24 * 60 - round_mm * diameter / 4
    assert study.glue.long_long_mm2 == pytest.approx(round_mm * (depth_b + depth_a / 2), abs=0.01)
    assert study.glue.long_end_mm2 == pytest.approx(round_mm * depth_a / 2 + face, abs=0.01)


def test_rail_leaves_only_along_its_own_length():
    study = studied("dowel", STILE, RAIL)
    assert study.holds.free_axes == ("+x",)
    assert study.holds.words == "Comes apart only along the rail."


def test_every_dowel_needs_a_hole_in_each_part():
    study = studied("dowel", STILE, RAIL, dowel_count=3, depth_a_mm=20, clearance_mm=1.5)
    assert study.drivers.value("holes") == 6
    assert study.drivers.value("a.hole_depth_mm") == pytest.approx(3 * 21.5)


def test_boring_takes_out_the_volume_of_the_holes():
    study = studied("dowel", STILE, RAIL, diameter_mm=8, depth_a_mm=25, clearance_mm=1)
    assert study.geometry.member("a").removed_mm3 == pytest.approx(2 * pi * 16 * 26)


def test_dowel_larger_than_the_board_is_refused():
    with pytest.raises(RuleBroken, match="as thick as the thinner") as refused:
        Dowel.fitted(STILE, RAIL, diameter_mm=24)
    assert refused.value.field == "diameter_mm"
    assert refused.value.nearest == 12


def test_too_many_dowels_are_refused_with_the_number_that_fits():
    with pytest.raises(RuleBroken, match="room for") as refused:
        Dowel.fitted(STILE, RAIL, diameter_mm=8, dowel_count=7)
    assert refused.value.nearest == 6
    assert Dowel.fitted(STILE, RAIL, diameter_mm=8, dowel_count=6)


def test_ten_thousand_dowels_are_refused():
    with pytest.raises(RuleBroken, match="40 or less") as refused:
        Dowel.fitted(STILE, section(20_000, 24), dowel_count=10_000)
    assert refused.value.field == "dowel_count"


def test_hole_through_the_stile_is_refused():
    with pytest.raises(RuleBroken, match="far side of the stile"):
        Dowel.fitted(STILE, RAIL, depth_a_mm=47)


def test_half_a_dowel_is_refused():
    with pytest.raises(RuleBroken, match="whole number"):
        Dowel.fitted(STILE, RAIL, dowel_count=2.5)
