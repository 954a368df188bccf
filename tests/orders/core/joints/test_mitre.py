"""Mitre: length, angles and area at any internal angle, worked by hand."""

from math import radians, sin, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.errors import RuleBroken
from orders.core.joints.mitre import Mitre
from tests.orders.core.sections import section, studied


@pytest.mark.parametrize(
    ("first", "second", "thick", "angle", "length", "area"),
    [
        (50, 50, 20, 90, 70.711, 1414.21),
        (50, 70, 20, 90, 86.023, 1720.47),
        (60, 60, 18, 120, 69.282, 1247.08),
        (60, 60, 18, 60, 120, 2160),
        (40, 40, 12, 135, 43.296, 519.55),
    ],
)
def test_length_and_area_are_those_worked_by_hand(first, second, thick, angle, length, area):
    a, b = section(first, thick), section(second, thick)
    study = studied("mitre", a, b, internal_angle_degree=angle)
    assert study.joint.corner.length_mm == pytest.approx(length, abs=0.001)
    assert study.glue.oblique_mm2 == pytest.approx(area, abs=0.01)
    assert study.glue.total_mm2 == study.glue.oblique_mm2


@given(width=st.floats(10, 300), thick=st.floats(5, 60), angle=st.floats(10, 170))
def test_equal_widths_share_the_angle_in_half_and_have_no_long_grain(width, thick, angle):
    part = section(width, thick)
    study = studied("mitre", part, part, internal_angle_degree=angle)
    assert study.joint.corner.cut_degree("a") == pytest.approx(angle / 2)
    assert study.joint.corner.cut_degree("b") == pytest.approx(angle / 2)
    assert study.glue.oblique_mm2 == pytest.approx(thick * width / sin(radians(angle / 2)))
    assert study.glue.long_long_mm2 == 0


def test_unequal_widths_lean_by_the_ratio_of_the_widths():
    joint = Mitre.fitted(section(50, 20), section(70, 20))
    assert joint.corner.cut_degree("a") == pytest.approx(35.538, abs=0.001)
    assert joint.corner.cut_degree("b") == pytest.approx(54.462, abs=0.001)
    assert tan(radians(joint.corner.cut_degree("a"))) == pytest.approx(50 / 70)


@pytest.mark.parametrize("angle", [0, 180, 5, 175])
def test_flat_and_folded_corners_are_refused_with_the_nearest_angle(angle):
    with pytest.raises(RuleBroken, match="no corner to cut") as refused:
        Mitre.fitted(section(50, 20), section(50, 20), internal_angle_degree=angle)
    assert refused.value.nearest == (10 if angle < 90 else 170)


def test_widths_that_differ_too_much_for_a_flat_angle_are_refused():
    with pytest.raises(RuleBroken, match="differ too much") as refused:
        Mitre.fitted(section(40, 20), section(90, 20), internal_angle_degree=150)
    assert refused.value.field == "a/width_mm"
    wider = section(refused.value.nearest, 20)
    assert Mitre.fitted(wider, section(90, 20), internal_angle_degree=150)


def test_plain_mitre_is_held_by_nothing_and_asks_for_a_key():
    study = studied("mitre", section(50, 20), section(50, 20))
    assert study.holds.is_loose
    assert any("without a key" in one.text for one in study.advice)
