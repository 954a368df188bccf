"""Pegged, wedged and loose tenons, and the double one: areas by hand, and what they hold."""

from math import hypot, pi

import pytest

from orders.core.errors import RuleBroken
from orders.core.solids import View
from tests.orders.core.sections import section, studied

STILE, RAIL = section(60, 30), section(90, 30)


def pegged(**given):
    sizes = {
        "tenon_thickness_mm": 10,
        "tenon_width_mm": 60,
        "tenon_length_mm": 60,
        "clearance_mm": 0,
        "peg_count": 1,
        "peg_diameter_mm": 8,
    }
    return studied("pegged-tenon", STILE, RAIL, **{**sizes, **given})


def test_a_pegged_tenon_has_no_way_out():
    assert pegged().holds.is_locked
    assert pegged().holds.words == "Held in every direction while the peg stays in place."


def test_a_peg_takes_its_holes_out_of_the_cheeks_and_glues_its_own_wall():
    """Cheeks 2 (60 60 - pi 16), edges 2 10 60 + shoulder 30 90 - 10 60, peg wall pi 8 30."""
    total = 2 * (3600 - pi * 16) + 2 * 10 * 60 + 30 * 90 - 10 * 60 + pi * 8 * 30
    assert pegged().glue.total_mm2 == pytest.approx(total)


def test_the_draw_is_a_length_on_the_drawing():
    lengths = {one.label: one.value_mm for one in pegged(draw_mm=2).geometry.dimensions}
    assert lengths["peg from shoulder"] == pytest.approx(30)
    assert lengths["tenon hole from shoulder"] == pytest.approx(28)
    assert "tenon hole from shoulder" not in {
        one.label for one in pegged(draw_mm=0).geometry.dimensions
    }


def test_a_draw_of_half_the_peg_is_refused():
    with pytest.raises(RuleBroken, match="draw it less") as refused:
        pegged(draw_mm=5)
    assert pegged(draw_mm=refused.value.nearest)


def test_pegs_that_leave_no_tenon_are_refused_with_a_diameter_that_fits():
    with pytest.raises(RuleBroken, match="leave nothing") as refused:
        pegged(peg_count=3, peg_diameter_mm=20, draw_mm=0)
    assert pegged(peg_count=3, peg_diameter_mm=refused.value.nearest, draw_mm=0)


def wedged(**given):
    sizes = {
        "tenon_thickness_mm": 10,
        "tenon_width_mm": 60,
        "wedge_thickness_mm": 4,
        "wedge_length_mm": 40,
        "kerf_from_edge_mm": 8,
    }
    return studied("wedged-tenon", STILE, RAIL, **{**sizes, **given})


def test_a_wedged_tenon_has_no_way_out():
    assert wedged().holds.is_locked
    assert wedged().holds.words == "Held in every direction while the wedge stays in place."


def test_a_wedged_tenon_leans_against_the_flared_mortise():
    """Sloping edges 2 x 10 x hypot(40, 4); straight edges 2 x 10 x 20 and the shoulder."""
    slopes = [
        face.area_mm2
        for face in wedged().contacts
        if {face.from_key, face.to_key} == {"a", "b"} and 0 < abs(face.normal[0]) < 0.5
    ]
    assert sum(slopes) == pytest.approx(2 * 10 * hypot(40, 4))


def test_the_spread_tenon_and_its_wedges_fill_the_mortise():
    members = {member.key: member for member in wedged().geometry.members}
    mortise = members["a"].removed_mm3
    tenon = members["b"].volume_mm3 - 30 * 90 * max(
        corner[0] for corner in members["b"].blank[0].vertices
    )
    assert mortise == pytest.approx(10 * 60 * 60 + 2 * 10 * 40 * 4 / 2)
    assert tenon + members["wedge"].volume_mm3 == pytest.approx(mortise)


def test_wedges_that_spread_beyond_the_rail_are_refused():
    with pytest.raises(RuleBroken, match="thinner wedges") as refused:
        wedged(wedge_thickness_mm=16)
    assert wedged(wedge_thickness_mm=refused.value.nearest)


def test_a_wedge_as_long_as_the_tenon_is_refused():
    with pytest.raises(RuleBroken, match="before the shoulder") as refused:
        wedged(wedge_length_mm=60)
    assert wedged(wedge_length_mm=refused.value.nearest)


def test_a_double_tenon_has_the_cheeks_of_two_and_of_the_haunch_between():
    """Two of 10 x 20 x 40, haunch 10 long in a gap of 20: cheeks 4 20 40 + 2 20 10."""
    study = studied(
        "double-tenon",
        STILE,
        RAIL,
        tenon_thickness_mm=10,
        tenon_width_mm=20,
        gap_mm=20,
        tenon_length_mm=40,
        haunch_length_mm=10,
        clearance_mm=2,
    )
    assert study.glue.long_long_mm2 == pytest.approx(4 * 20 * 40 + 2 * 20 * 10)
    edges = 2 * 10 * 40 + 2 * 10 * 30
    shoulder = 30 * 90 - 10 * 60
    haunch_end = 10 * 20
    assert study.glue.long_end_mm2 == pytest.approx(edges + shoulder + haunch_end)
    assert study.holds.words == "Comes apart only along the rail."


def test_a_loose_tenon_leaves_the_rail_its_whole_length():
    study = studied("loose-tenon", STILE, RAIL)
    assert study.b_length_in_joint_mm == 0
    assert study.holds.words == "Comes apart only along the rail."


def test_a_loose_tenon_meets_the_rail_with_its_grain_and_the_stile_across():
    """8 x 40: in the stile 30 cheeks crossed; in the rail 25 all four sides parallel."""
    study = studied(
        "loose-tenon",
        STILE,
        RAIL,
        tenon_thickness_mm=8,
        tenon_width_mm=40,
        depth_a_mm=30,
        depth_b_mm=25,
        clearance_mm=1,
    )
    assert study.glue.long_long_crossed_mm2 == pytest.approx(2 * 40 * 30)
    assert study.glue.long_long_parallel_mm2 == pytest.approx(2 * (40 + 8) * 25)
    assert study.glue.long_end_mm2 == pytest.approx(2 * 8 * 30 + 30 * 90 - 8 * 40)


def test_every_length_of_a_double_tenon_is_in_a_view():
    views = {one.view for one in studied("double-tenon", STILE, RAIL).geometry.dimensions}
    assert {View.FRONT, View.TOP} <= views
