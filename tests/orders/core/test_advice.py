"""Advice warns with a reason and a source, and only where there is something to say."""

import pytest

from orders.core.book import joint_types, study
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


def test_a_scarf_is_no_plain_mitre():
    long = section(90, 20, 1800)
    assert not any("mitre" in one.text for one in studied("scarf", long, long).advice)


def test_ends_that_meet_rely_on_end_grain_alone():
    advice = studied("butt", section(40, 20), section(40, 20), meeting="end_to_end").advice
    assert any("end grain alone" in one.text for one in advice)


def test_edges_that_meet_need_no_advice():
    edge = section(90, 24, 600)
    assert studied("butt", edge, edge, meeting="edge_to_edge").advice == ()


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"tenon_thickness_mm": 12}, "thicker than a third"),
        ({"tenon_thickness_mm": 5, "tenon_width_mm": 45}, "wider than six times"),
        ({"tenon_thickness_mm": 20}, "shoulders are under 3 mm"),
        ({"tenon_length_mm": 12}, "shallower than three times"),
    ],
)
def test_a_tenon_out_of_proportion_is_warned_about(given, words):
    assert any(words in one.text for one in studied("mortise-tenon", STILE, RAIL, **given).advice)


def test_usual_tenon_needs_no_advice():
    assert studied("mortise-tenon", STILE, RAIL).advice == ()


def test_a_housing_does_not_hold_against_pulling_out_and_a_dovetailed_one_does():
    shelf = section(200, 18)
    assert any("pulled out" in one.text for one in studied("housing", shelf, shelf).advice)
    assert not studied("dovetail-housing", shelf, shelf).advice


def test_a_tapered_slope_outside_every_rule_is_warned_about():
    advice = studied("through-dovetail", section(150, 20), section(150, 20), slope=12).advice
    assert any("outside the usual 1 in 5 to 1 in 8" in one.text for one in advice)
