"""Butt: which surfaces meet decides what the glue can do."""

import pytest

from orders.core.errors import RuleBroken
from orders.core.joints.butt import Butt
from tests.orders.core.sections import section, studied


@pytest.mark.parametrize("meeting", ["end_to_face", "end_to_edge"])
def test_end_against_a_side_has_no_long_grain(meeting):
    study = studied("butt", section(120, 18), section(100, 12), meeting=meeting)
    assert study.glue.long_long_mm2 == 0 < study.glue.long_end_mm2


def test_end_to_end_relies_on_end_grain_alone():
    study = studied("butt", section(40, 20), section(40, 20), meeting="end_to_end")
    assert any("end grain alone" in one.text for one in study.advice)


def test_edge_joint_needs_no_advice():
    study = studied("butt", section(90, 24), section(90, 24), meeting="edge_to_edge")
    assert study.advice == ()


def test_unknown_meeting_is_refused_with_the_choices():
    with pytest.raises(RuleBroken, match="end_to_face, end_to_edge") as refused:
        Butt.fitted(section(40, 20), section(40, 20), meeting="corner_to_corner")
    assert refused.value.field == "meeting"
