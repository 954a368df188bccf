"""Durability classes, quantities, stages and clamps."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.core.glue import (
    DurabilityClass,
    Exposure,
    Spreading,
    adhesive_for,
    adhesives,
    choose_class,
    clamp_count,
    glue_g,
    glue_up_stages,
    lowest_class,
)
from orders.core.errors import NotReady, RuleBroken


@pytest.mark.parametrize(
    ("exposure", "lowest"),
    [
        ("dry-interior", "D1"),
        ("damp-interior", "D2"),
        ("wet-interior", "D3"),
        ("sheltered-exterior", "D3"),
        ("weather-exterior", "D4"),
    ],
)
def test_the_lowest_class_for_an_exposure(exposure, lowest):
    """Meanings of the classes: EN 204:2016, from transcriptions."""
    assert lowest_class(exposure) == lowest


def test_a_harder_exposure_never_asks_for_a_lower_class():
    classes = [lowest_class(exposure).value for exposure in Exposure]
    assert classes == sorted(classes)


def test_a_higher_class_may_be_chosen_without_a_word():
    choice = choose_class("dry-interior", "D3")
    assert choice.chosen is DurabilityClass.D3
    assert not choice.cautions
    assert not choice.is_below_lowest


def test_a_lower_class_needs_a_named_reason():
    with pytest.raises(RuleBroken, match="D4 or better") as caught:
        choose_class(Exposure.WEATHER_EXTERIOR, DurabilityClass.D3, "  ")
    assert caught.value.field == "glue_class"
    choice = choose_class("weather-exterior", "D3", "the client's own glue, at the client's risk")
    assert choice.is_below_lowest
    assert "the client's own glue" in choice.cautions[0]


def test_load_bearing_work_is_refused_whatever_the_class():
    with pytest.raises(RuleBroken, match="licensed designer") as caught:
        choose_class("dry-interior", "D4", "please", load_bearing=True)
    assert caught.value.field == "load_bearing"


def test_heat_is_a_separate_caution():
    assert "says nothing about heat" in choose_class("dry-interior", heat_or_sun=True).cautions[0]


def test_glue_mass_of_a_through_tenon_and_a_housing():
    """8 x 40 x 48 tenon in a 24 x 60 rail, (3840 + 1888) mm2 at 150 g/m2; 6000 mm2 at 180."""
    assert glue_g(3840 + 1888, 150) == pytest.approx(0.8592)
    assert glue_g(6000, 180) == pytest.approx(1.080)


def test_every_starting_glue_is_marked_as_to_be_replaced():
    for glue in adhesives().values():
        assert "replace by the maker's data sheet" in glue.note
        assert glue.source in ("common practice, no source", "from memory, unverified")


def test_the_lowest_sufficient_glue_is_taken():
    glues = list(adhesives().values())
    assert adhesive_for("D3", glues).durability_class == "D3"
    with pytest.raises(NotReady, match="class D4 or better; add one"):
        adhesive_for("D4", [adhesives()["pvac-d2"]])


def spread(*minutes):
    return [
        Spreading(key=str(place), label=f"joint {place}", spreading_min=each, area_mm2=100)
        for place, each in enumerate(minutes)
    ]


def test_stages_follow_the_working_order_and_fit_the_open_time():
    stages = glue_up_stages(spread(3, 4, 2, 8, 1), adhesives()["pvac-d2"])
    assert [stage.joints for stage in stages] == [("0", "1"), ("2",), ("3",), ("4",)]


@given(st.lists(st.floats(0, 8), max_size=40))
def test_every_joint_is_in_one_stage_and_no_stage_outlasts_the_glue(minutes):
    glue = adhesives()["pvac-d3"]
    stages = glue_up_stages(spread(*minutes), glue)
    assert [key for stage in stages for key in stage.joints] == [
        str(place) for place in range(len(minutes))
    ]
    assert all(stage.spreading_min <= glue.open_time_min + 1e-6 for stage in stages)


def test_a_joint_slower_than_the_glue_names_a_way_out():
    with pytest.raises(RuleBroken, match="slower glue or a second pair") as caught:
        glue_up_stages(spread(2, 9), adhesives()["pvac-d2"])
    assert caught.value.field == "joints/1/spreading_min"


def test_clamps_follow_the_spacing_or_the_pressure_whichever_asks_for_more():
    glue = adhesives()["pvac-d2"]
    assert clamp_count(1200, 20, 100, glue, force_per_clamp_n=5000) == 6
    assert clamp_count(1200, 40, 100, glue, force_per_clamp_n=4000) == 8
    assert clamp_count(50, 8, 60, glue) == 1


def test_no_area_needs_no_glue_and_a_negative_one_is_refused():
    assert glue_g(0, 150) == 0
    with pytest.raises(RuleBroken):
        glue_g(-1, 150)
