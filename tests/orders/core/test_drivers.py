"""Drivers: the quantities that standard times multiply."""

import pytest

from tests.orders.core.sections import section, studied

STILE, RAIL = section(48, 24), section(60, 24)


def test_driver_of_one_member_and_of_all():
    drivers = studied("corner-halving", section(48, 24), section(48, 24)).drivers
    assert drivers.value("a.removed_cm3") == pytest.approx(48 * 48 * 12 / 1000)
    assert drivers.value("removed_cm3") == pytest.approx(2 * drivers.value("a.removed_cm3"))


def test_each_has_no_quantity():
    assert studied("mortise-tenon", STILE, RAIL).drivers.value("each") == 0


def test_unknown_driver_is_a_bug_and_not_a_zero():
    with pytest.raises(ValueError, match="sawdust"):
        studied("mortise-tenon", STILE, RAIL).drivers.value("sawdust")


def test_glue_driver_is_the_whole_contact_area():
    study = studied("mortise-tenon", STILE, RAIL)
    assert study.drivers.value("glue_cm2") * 100 == pytest.approx(study.glue.total_mm2)


def test_lengths_in_the_joint_follow_which_part_ends_there():
    tenon = studied("mortise-tenon", STILE, RAIL, tenon_length_mm=48)
    assert (tenon.a_length_in_joint_mm, tenon.b_length_in_joint_mm) == (0, 48)
    dovetail = studied("through-dovetail", section(150, 18), section(150, 20))
    assert (dovetail.a_length_in_joint_mm, dovetail.b_length_in_joint_mm) == (20, 18)
    edge = studied("butt", section(90, 24), section(90, 24), meeting="edge_to_edge")
    assert (edge.a_length_in_joint_mm, edge.b_length_in_joint_mm) == (0, 0)


def test_mitred_parts_reach_to_the_long_point():
    mitre = studied("mitre", section(50, 20), section(70, 20))
    assert mitre.b_length_in_joint_mm == pytest.approx(50)
    assert mitre.a_length_in_joint_mm == pytest.approx(70)
