"""Through dovetail: areas against arithmetic and a polygon library, and tails that meet."""

from math import sqrt

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.affinity import translate
from shapely.geometry import Polygon

from orders.core.errors import RuleBroken
from orders.core.joints.through_dovetail import ThroughDovetail
from tests.orders.core.sections import section, studied

BOARD = section(150, 20)


def test_four_tails_in_a_150_board_have_the_area_worked_by_hand():
    """8 x 20 x 20 x sqrt(1 + 1/64); 20 x (3 x 11 + 2 x 8.5) + 4 x 27.5 x 20."""
    study = studied(
        "through-dovetail",
        BOARD,
        BOARD,
        tail_count=4,
        slope=8,
        pin_width_mm=6,
        half_pin_width_mm=6,
    )
    assert study.glue.long_long_mm2 == pytest.approx(3224.90, abs=0.01)
    assert study.glue.long_end_mm2 == pytest.approx(3200.00, abs=0.01)
    assert study.glue.oblique_mm2 == study.glue.end_end_mm2 == 0


@given(
    width=st.floats(40, 300),
    pin_board=st.floats(8, 30),
    tail_board=st.floats(8, 30),
    count=st.integers(1, 8),
    slope=st.floats(5, 9),
)
@settings(max_examples=25)
def test_areas_and_volumes_follow_the_polygons_of_the_tails(
    width, pin_board, tail_board, count, slope
):
    a, b = section(width, pin_board), section(width, tail_board)
    try:
        joint = ThroughDovetail.fitted(a, b, tail_count=count, slope=slope)
    except RuleBroken:
        assume(False)
    study = studied("through-dovetail", a, b, tail_count=count, slope=slope)
    tails = polygons_of_the_tails(joint)
    cheeks = 2 * count * tail_board * pin_board * sqrt(1 + 1 / slope**2)
    necks = sum(tail.bounds[3] - tail.bounds[1] - 2 * pin_board / slope for tail in tails)
    ends = tail_board * (width - necks) + sum(tail.area for tail in tails)
    assert study.glue.long_long_mm2 == pytest.approx(cheeks, rel=1e-6)
    assert study.glue.long_end_mm2 == pytest.approx(ends, rel=1e-6)
    tail_waste = (width * pin_board - sum(tail.area for tail in tails)) * tail_board
    assert study.geometry.member("b").removed_mm3 == pytest.approx(tail_waste, rel=1e-6)
    pin_waste = sum(tail.area for tail in tails) * tail_board
    assert study.geometry.member("a").removed_mm3 == pytest.approx(pin_waste, rel=1e-6)


def test_tails_moved_in_their_own_plane_run_into_the_pins():
    """The polygon library says held; the cone must agree: only the pin board's grain is free."""
    joint = ThroughDovetail.fitted(BOARD, BOARD)
    tails = polygons_of_the_tails(joint)
    corner = Polygon([(-20, 0), (0, 0), (0, 150), (-20, 150)])
    pins = corner
    for tail in tails:
        pins = pins.difference(tail)
    for x, z in ((1, 0), (0, 1), (0, -1)):
        assert any(translate(tail, x, z).intersection(pins).area > 0.05 for tail in tails)
    assert studied("through-dovetail", BOARD, BOARD).holds.free_axes == ("+y",)


def test_comes_apart_in_one_direction_only():
    holds = studied("through-dovetail", BOARD, BOARD).holds
    assert holds.is_one_way
    assert holds.words == "Comes apart only along the pin board."


def test_tails_that_meet_are_refused_with_the_number_that_fits():
    with pytest.raises(RuleBroken, match="room for") as refused:
        ThroughDovetail.fitted(BOARD, BOARD, tail_count=30, slope=8, pin_width_mm=6)
    assert refused.value.field == "tail_count"
    most = int(refused.value.nearest)
    assert ThroughDovetail.fitted(BOARD, BOARD, tail_count=most, slope=8, pin_width_mm=6)
    with pytest.raises(RuleBroken):
        ThroughDovetail.fitted(BOARD, BOARD, tail_count=most + 1, slope=8, pin_width_mm=6)


def test_boards_of_different_widths_are_refused():
    with pytest.raises(RuleBroken, match="one width") as refused:
        ThroughDovetail.fitted(BOARD, section(140, 20))
    assert refused.value.nearest == 150


def test_slope_outside_the_usual_is_warned_about():
    advice = ThroughDovetail.fitted(BOARD, BOARD, slope=12).proportions()
    assert any("outside the usual" in one.text for one in advice)


def polygons_of_the_tails(joint: ThroughDovetail) -> list[Polygon]:
    """Worked from the own dimensions alone: x along the tail board, z across it."""
    deep, splay = joint.a.thickness_mm, joint.a.thickness_mm / joint.slope
    pins = 2 * joint.half_pin_width_mm + (joint.tail_count - 1) * joint.pin_width_mm
    wide = (joint.b.width_mm - pins) / joint.tail_count
    lows = [
        joint.half_pin_width_mm + place * (wide + joint.pin_width_mm)
        for place in range(joint.tail_count)
    ]
    return [
        Polygon([(-deep, low), (0, low + splay), (0, low + wide - splay), (-deep, low + wide)])
        for low in lows
    ]
