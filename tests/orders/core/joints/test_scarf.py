"""Scarf: area of the slope, its advice, and what it refuses."""

from math import atan, degrees, sqrt

import pytest

from orders.core.errors import RuleBroken
from tests.orders.core.sections import section, studied

LENGTH = section(90, 20, 1800)


def test_the_slope_is_as_large_as_its_hypotenuse():
    """1 in 12 through 20 x 90: 90 x 20 x sqrt(1 + 144)."""
    study = studied("scarf", LENGTH, LENGTH, scarf_slope=12)
    assert study.glue.oblique_mm2 == pytest.approx(90 * 20 * sqrt(145))
    assert study.contacts[0].from_degree == pytest.approx(degrees(atan(1 / 12)))


@pytest.mark.parametrize(("slope", "count"), [(12, 0), (9, 1), (6, 2)])
def test_a_blunt_scarf_is_warned_about(slope, count):
    """Wood Handbook, chapter 10: 1 in 8 is the least usual, ten cross-sections of glue area."""
    study = studied("scarf", LENGTH, LENGTH, scarf_slope=slope)
    assert len(study.joint.proportions()) == count


def test_unlike_sections_are_refused_with_the_size_that_fits():
    with pytest.raises(RuleBroken, match="one section") as refused:
        studied("scarf", LENGTH, section(80, 20))
    assert (refused.value.field, refused.value.nearest) == ("b/width_mm", 90)


def test_a_scarf_longer_than_a_part_is_refused_with_the_slope_that_fits():
    short = section(90, 20, 120)
    with pytest.raises(RuleBroken, match="blunter") as refused:
        studied("scarf", LENGTH, short, scarf_slope=12)
    assert refused.value.nearest == pytest.approx(6)
    assert studied("scarf", LENGTH, short, scarf_slope=6)
