"""Mortise and tenon: its proportions and what it refuses."""

import pytest

from orders.core.errors import RuleBroken
from orders.core.joints.mortise_tenon import MortiseTenon
from tests.orders.core.sections import section, studied

STILE, RAIL = section(48, 24), section(60, 24)


def test_tenon_is_a_third_of_the_stile_thick_and_two_thirds_of_the_rail_wide():
    joint = MortiseTenon.fitted(STILE, RAIL)
    assert (joint.tenon_thickness_mm, joint.tenon_width_mm) == (8, 40)


def test_wide_rail_gets_a_tenon_of_six_times_its_thickness():
    assert MortiseTenon.fitted(STILE, section(200, 24)).tenon_width_mm == 48


def test_blind_tenon_may_not_come_through():
    with pytest.raises(RuleBroken, match="break through") as refused:
        MortiseTenon.fitted(STILE, RAIL, tenon_length_mm=47, clearance_mm=2)
    assert refused.value.field == "clearance_mm"
    assert refused.value.nearest == 1


def test_tenon_longer_than_the_stile_is_wide_names_the_nearest_length():
    with pytest.raises(RuleBroken, match="longer than the stile is wide") as refused:
        MortiseTenon.fitted(STILE, RAIL, tenon_length_mm=60)
    assert refused.value.field == "tenon_length_mm"
    assert refused.value.nearest == 48


def test_rail_thinner_than_the_tenon_is_refused():
    with pytest.raises(RuleBroken, match="thicker than the thinner"):
        MortiseTenon.fitted(STILE, section(60, 6), tenon_thickness_mm=8)


def test_rail_shorter_than_its_tenon_is_refused():
    with pytest.raises(RuleBroken, match="longer than the whole rail"):
        MortiseTenon.fitted(STILE, section(60, 24, 25), tenon_length_mm=30)


def test_rail_loses_its_tenon_between_shoulders_and_the_stile_nothing():
    study = studied("mortise-tenon", STILE, RAIL, tenon_length_mm=30)
    assert study.b_length_in_joint_mm == 30
    assert study.a_length_in_joint_mm == 0


def test_saw_follows_the_shoulder_line_all_round_and_no_side_of_the_mortise():
    """Shoulders 2 x (60 + 24); tenon end 2 x (40 + 8) is marked but not on two faces."""
    study = studied("mortise-tenon", STILE, RAIL)
    stile, rail = study.drivers.members
    assert rail.sawn_mm == pytest.approx(168)
    assert rail.line_mm == pytest.approx(264)
    assert stile.sawn_mm == 0
    assert stile.line_mm == pytest.approx(96)


def test_mortise_takes_its_own_volume_out_of_the_stile():
    study = studied("mortise-tenon", STILE, RAIL, tenon_length_mm=30, clearance_mm=2)
    assert study.drivers.members[0].removed_mm3 == pytest.approx(8 * 40 * 32)


def test_thick_tenon_is_warned_about_and_not_refused():
    advice = MortiseTenon.fitted(STILE, RAIL, tenon_thickness_mm=14).proportions()
    assert any("thicker than a third" in one.text for one in advice)


def test_tenon_of_the_usual_proportions_needs_no_advice():
    assert MortiseTenon.fitted(STILE, RAIL).proportions() == ()
