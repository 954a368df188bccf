"""Mitred corner bridle: worked areas, and the ways it comes apart."""

from math import hypot

import pytest

from tests.orders.core.sections import section, studied


def test_areas_are_those_worked_by_hand():
    """48 x 24, thirds of 8: crossed 48 x 48, mitres 2 x 8 x 67.882, floor 48 x 8."""
    glue = studied("mitred-bridle", section(48, 24), section(48, 24)).glue
    assert glue.long_long_crossed_mm2 == pytest.approx(2304)
    assert glue.oblique_mm2 == pytest.approx(1086.12, abs=0.01)
    assert glue.long_end_mm2 == pytest.approx(384)


def test_unequal_widths_share_the_corner_by_its_diagonal():
    glue = studied("mitred-bridle", section(40, 24), section(70, 24)).glue
    assert glue.long_long_crossed_mm2 == pytest.approx(40 * 70)
    assert glue.oblique_mm2 == pytest.approx(2 * 8 * hypot(40, 70))


def test_it_withdraws_along_the_rail_and_is_held_across_the_thickness():
    holds = studied("mitred-bridle", section(48, 24), section(48, 24)).holds
    assert set(holds.free_axes) == {"+x", "+y"}
    assert {"+z", "-z"} <= set(holds.held_axes)
