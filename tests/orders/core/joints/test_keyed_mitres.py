"""Mitres with a third member: what the key adds to the glue and what it holds."""

from math import pi, sqrt

import pytest

from orders.core.errors import RuleBroken
from tests.orders.core.sections import section, studied

SIXTY = section(60, 22)
BISCUITS = {"0": 958.9, "10": 1376.6, "20": 1773.9}


@pytest.mark.parametrize(("number", "both_faces"), BISCUITS.items())
def test_a_biscuit_glues_both_faces_of_an_ideal_lens(number, both_faces):
    """Two arcs of a circle: 2 (R2 acos((R - w/2)/R) - (R - w/2) L/2), both faces."""
    study = studied("biscuit-mitre", section(90, 22), section(90, 22), biscuit=number)
    assert study.glue.long_long_mm2 == pytest.approx(both_faces, abs=0.1)


def test_a_biscuit_takes_its_slot_out_of_the_mitre():
    """The slot on the face is 6 mm longer than the biscuit and 4 mm wide."""
    study = studied("biscuit-mitre", section(90, 22), section(90, 22), biscuit="20")
    whole = 22 * 90 * sqrt(2)
    assert study.glue.oblique_mm2 == pytest.approx(whole - 4 * (56 + 6))


def test_a_biscuit_lets_the_mitre_slide_along_itself_but_not_off_the_face():
    holds = studied("biscuit-mitre", SIXTY, SIXTY).holds
    assert holds.words == (
        "Comes apart square to the slope, and slides either way along the slope."
    )
    assert {"+z", "-z"} <= set(holds.held_axes)


def test_the_largest_biscuit_that_fits_is_taken():
    assert studied("biscuit-mitre", section(40, 22), section(40, 22)).joint.biscuit == "0"
    assert studied("biscuit-mitre", section(90, 22), section(90, 22)).joint.biscuit == "20"


def test_a_biscuit_too_large_is_refused_with_one_that_fits():
    with pytest.raises(RuleBroken, match="take a no") as refused:
        studied("biscuit-mitre", section(40, 22), section(40, 22), biscuit="20")
    assert refused.value.field == "biscuit"


def test_parts_too_narrow_for_any_biscuit_are_refused_with_a_width_that_does():
    with pytest.raises(RuleBroken, match="too short for any") as refused:
        studied("biscuit-mitre", section(20, 22), section(20, 22))
    wide = section(refused.value.nearest, 22)
    assert studied("biscuit-mitre", wide, wide).joint.biscuit == "0"


def test_dowels_in_a_mitre_leave_one_way_out():
    """Two of 8, 15 in each part: cylinder 2 pi 8 30; the mitre less two holes."""
    study = studied("dowelled-mitre", SIXTY, SIXTY, dowel_count=2, diameter_mm=8, depth_mm=15)
    assert study.holds.words == "Comes apart only square to the slope."
    total = 2 * pi * 8 * 30 + 22 * 60 * sqrt(2) - 2 * pi * 16
    assert study.glue.total_mm2 == pytest.approx(total)


def test_a_dowel_that_comes_out_of_the_mitre_is_refused_with_a_depth_that_fits():
    with pytest.raises(RuleBroken, match="comes out") as refused:
        studied("dowelled-mitre", SIXTY, SIXTY, diameter_mm=8, depth_mm=40)
    study = studied("dowelled-mitre", SIXTY, SIXTY, diameter_mm=8, depth_mm=refused.value.nearest)
    assert study.glue.total_mm2 > 0


def test_a_spline_glues_four_faces_along_the_mitre():
    """Strip of 12 each way along 60 root 2: each face less the triangles at its ends."""
    study = studied("splined-mitre", SIXTY, SIXTY, spline_thickness_mm=6, spline_depth_mm=12)
    faces = 4 * 12 * 60 * sqrt(2)
    assert study.glue.long_long_mm2 == pytest.approx(faces)


def test_keys_glue_both_faces_of_a_triangle_over_the_corner():
    """Depth 20 from the outer corner of a square mitre: a triangle of 20 x 20 each."""
    study = studied(
        "keyed-mitre",
        section(50, 24),
        section(50, 24),
        key_count=2,
        key_thickness_mm=3,
        key_depth_mm=20,
    )
    assert study.glue.long_long_mm2 == pytest.approx(2 * 2 * 20 * 20)


@pytest.mark.parametrize(
    "code", ["dowelled-mitre", "biscuit-mitre", "splined-mitre", "keyed-mitre"]
)
def test_a_key_answers_the_advice_on_a_plain_mitre(code):
    assert not any("without a key" in one.text for one in studied(code, SIXTY, SIXTY).advice)


@pytest.mark.parametrize("code", ["splined-mitre", "dowelled-mitre", "keyed-mitre"])
@pytest.mark.parametrize("angle", [60, 120, 135])
def test_keys_follow_the_internal_angle(code, angle):
    study = studied(code, SIXTY, SIXTY, internal_angle_degree=angle)
    assert study.joint.corner.cut_degree("b") == pytest.approx(angle / 2)
    assert study.glue.long_long_mm2 > 0
