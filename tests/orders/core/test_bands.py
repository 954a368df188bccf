"""Plausibility bands: they flag, and the starting times are inside them."""

from dataclasses import replace

import pytest

from orders.core.bands import outside_bands, time_bands
from orders.core.book import joint_types, study
from orders.core.species import species
from orders.core.times import Method, minutes_for, minutes_for_extra
from tests.orders.core.sections import section, studied


@pytest.mark.parametrize("wood", ["oak-white", "pine-ponderosa"])
@pytest.mark.parametrize("method", [Method.HAND, Method.MACHINE])
@pytest.mark.parametrize("kind", joint_types().values(), ids=joint_types())
def test_starting_times_of_usual_joints_are_inside_their_bands(kind, method, wood):
    timed = minutes_for(study(kind.fitted(*kind.example)), 1, method, species(wood))
    assert [one.sentence for one in outside_bands(timed)] == []


def test_minutes_outside_their_band_are_flagged_with_a_sentence():
    joint = studied("mortise-tenon", section(48, 24), section(60, 24))
    timed = minutes_for(joint, 1, Method.HAND)
    slow = [replace(one, each_min=one.each_min * 10) for one in timed]
    flagged = outside_bands(slow)
    assert {one.band.label for one in flagged} == {"hand mortise", "hand tenon"}
    assert all(one.sentence.endswith("check the standard time.") for one in flagged)


def test_one_assembly_is_glued_up_in_its_band():
    glued = minutes_for_extra("assemble", {"assemblies": 1}, Method.HAND)
    assert outside_bands([glued]) == ()
    assert outside_bands([replace(glued, each_min=500)])


def test_every_band_says_where_it_comes_from():
    assert all(band.source and band.least_min < band.most_min for band in time_bands())
