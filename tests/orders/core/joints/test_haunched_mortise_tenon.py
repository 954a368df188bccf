"""Haunched mortise and tenon: its proportions and what it refuses."""

import pytest

from orders.core.errors import RuleBroken
from orders.core.joints.haunched_mortise_tenon import HaunchedMortiseTenon
from tests.orders.core.sections import section, studied

STILE, RAIL = section(48, 24), section(60, 24)


def test_tenon_is_half_the_rail_and_the_haunch_as_long_as_the_tenon_is_thick():
    joint = HaunchedMortiseTenon.fitted(STILE, RAIL)
    assert joint.tenon_width_mm == 30
    assert joint.haunch_length_mm == joint.tenon_thickness_mm == 8


def test_haunch_adds_long_grain_to_the_cheeks():
    plain = studied("mortise-tenon", STILE, RAIL, tenon_width_mm=30, tenon_length_mm=32)
    haunched = studied("haunched-mortise-tenon", STILE, RAIL)
    assert haunched.glue.long_long_mm2 == pytest.approx(plain.glue.long_long_mm2 + 2 * 20 * 8)


def test_stile_ends_at_the_corner_and_so_has_a_length_in_the_joint():
    assert studied("haunched-mortise-tenon", STILE, RAIL).a_length_in_joint_mm == 60


def test_haunch_as_long_as_the_tenon_is_refused():
    with pytest.raises(RuleBroken, match="shorter than the tenon") as refused:
        HaunchedMortiseTenon.fitted(STILE, RAIL, tenon_length_mm=30, haunch_length_mm=30)
    assert refused.value.field == "haunch_length_mm"


def test_tenon_and_haunch_wider_than_the_rail_are_refused():
    with pytest.raises(RuleBroken, match="wider than the rail") as refused:
        HaunchedMortiseTenon.fitted(STILE, RAIL, tenon_width_mm=50, haunch_width_mm=20)
    assert refused.value.nearest == 40
