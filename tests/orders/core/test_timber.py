"""Advice by species: slope of dovetails, hard gluing, and glue across moving grain."""

import pytest

from orders.core.species import species
from orders.core.timber import restrained_mm, timber_advice
from tests.orders.core.sections import section, studied

OAK, PINE = species("oak-red"), species("pine-ponderosa")


def dovetail(slope: float):
    return studied("through-dovetail", section(150, 20), section(150, 20), slope=slope)


def test_slope_for_hardwood_is_questioned_in_softwood_only():
    assert timber_advice(dovetail(8), OAK) == ()
    assert "1 in 6" in timber_advice(dovetail(8), PINE)[0].text
    assert timber_advice(dovetail(6), PINE) == ()


def test_the_slope_of_a_scarf_is_no_dovetail():
    long = section(90, 20, 1800)
    assert timber_advice(studied("scarf", long, long), PINE) == ()


def test_wood_that_bonds_with_difficulty_is_named():
    tenon = studied("mortise-tenon", section(48, 24), section(60, 24))
    assert "Teak is hard to glue" in timber_advice(tenon, species("teak"))[0].text
    assert timber_advice(tenon, species("walnut-black")) == ()
    assert len(timber_advice(tenon, species("walnut-black"), species("teak"))) == 1


def wide_tenon(width: float):
    return studied(
        "mortise-tenon",
        section(120, 36),
        section(300, 36),
        tenon_width_mm=width,
        tenon_length_mm=40,
    )


def test_the_width_that_is_held_is_that_across_each_grain():
    assert restrained_mm(wide_tenon(200), "b") == pytest.approx(200)
    assert restrained_mm(wide_tenon(200), "a") == pytest.approx(40)


def test_a_wide_tenon_moves_across_its_mortise():
    """200 x 0.00369 x 4 = 2.95 mm in flat-sawn red oak (Wood Handbook, equation 13-1)."""
    (advice,) = timber_advice(wide_tenon(200), OAK)
    assert "rail moves about 3.0 mm" in advice.text
    assert "across 200 mm" in advice.text


def test_a_narrow_tenon_does_not():
    """60 x 0.00369 x 4 = 0.89 mm."""
    assert timber_advice(wide_tenon(60), OAK) == ()


def test_the_movement_is_that_of_the_part_that_moves():
    still = species("mahogany-true")
    assert timber_advice(wide_tenon(110), OAK, still) == ()
    assert timber_advice(wide_tenon(110), still, OAK)


def test_boards_that_move_together_are_not_warned_about():
    side = section(400, 18)
    assert timber_advice(studied("housing", side, side), OAK) == ()
