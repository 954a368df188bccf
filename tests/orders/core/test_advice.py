"""Advice warns with a reason and a source, and only where there is something to say."""

import pytest

from orders.core.advice import timber_advice
from orders.core.book import joint_types, study
from orders.core.species import species
from tests.orders.core.sections import section, studied

STILE, RAIL = section(48, 24), section(60, 24)


@pytest.mark.parametrize("kind", joint_types().values(), ids=joint_types())
def test_every_piece_of_advice_has_a_reason_and_a_source(kind):
    found = study(kind.fitted(*kind.example))
    for one in (*found.advice, *found.outdoor_advice):
        assert one.text.endswith(".")
        assert one.reason.endswith(".")
        assert one.source


def test_through_tenon_shows_end_grain_outdoors_and_a_stopped_one_does_not():
    assert studied("mortise-tenon", STILE, RAIL, tenon_length_mm=48).outdoor_advice
    assert not studied("mortise-tenon", STILE, RAIL, tenon_length_mm=30).outdoor_advice


def test_haunched_corner_shows_the_end_of_the_stile():
    advice = studied("haunched-mortise-tenon", STILE, RAIL).outdoor_advice
    assert "End grain of the stile" in advice[0].text


def test_both_boards_of_a_dovetail_show_end_grain():
    advice = studied("through-dovetail", section(150, 20), section(150, 20)).outdoor_advice
    assert "pin board and the tail board" in advice[0].text


def test_dowels_are_hidden_from_the_weather():
    assert studied("dowel", STILE, RAIL).outdoor_advice == ()


def test_an_end_glued_to_a_side_is_warned_about():
    assert any("holds little" in one.text for one in studied("butt", STILE, RAIL).advice)


def test_slope_for_hardwood_is_questioned_in_softwood_only():
    joint = studied("through-dovetail", section(150, 20), section(150, 20), slope=8).joint
    assert timber_advice(joint, species("oak-white")) == ()
    assert "1 in 6" in timber_advice(joint, species("pine-ponderosa"))[0].text


def test_wood_that_bonds_with_difficulty_is_named():
    joint = studied("mortise-tenon", STILE, RAIL).joint
    assert "Teak is hard to glue" in timber_advice(joint, species("teak"))[0].text
    assert timber_advice(joint, species("walnut-black")) == ()
