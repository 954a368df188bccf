"""Corner halving: half from each part, flush on the face."""

import pytest

from orders.core.errors import RuleBroken
from orders.core.joints.corner_halving import CornerHalving
from tests.orders.core.sections import section, studied

PART = section(48, 24)


def test_half_is_taken_from_each_part():
    study = studied("corner-halving", PART, PART)
    assert study.joint.lap_thickness_mm == 12
    assert [m.removed_mm3 for m in study.geometry.members] == pytest.approx([48 * 48 * 12] * 2)


def test_both_parts_are_as_much_longer_as_the_other_is_wide():
    study = studied("corner-halving", section(40, 24), section(60, 24))
    assert (study.a_length_in_joint_mm, study.b_length_in_joint_mm) == (60, 40)


def test_unequal_thickness_stays_flush_on_the_face_side():
    study = studied("corner-halving", section(48, 30), section(48, 20))
    tops = [max(v[2] for s in m.solids for v in s.vertices) for m in study.geometry.members]
    assert tops == [0, 0]


def test_lap_as_thick_as_the_part_is_refused():
    with pytest.raises(RuleBroken, match="nothing of the thinner part") as refused:
        CornerHalving.fitted(PART, PART, lap_thickness_mm=24)
    assert refused.value.nearest == 12
