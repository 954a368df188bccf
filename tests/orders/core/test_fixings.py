"""Fixings and jigs: minutes, cost, advice that they answer, and what cannot be driven."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.book import joint_types, study
from orders.core.errors import RuleBroken
from orders.core.fixings import (
    Carried,
    advice_with,
    all_fixings,
    all_jigs,
    carried,
    cost_of,
    jig,
    jigs_for,
    require_fixings,
)
from orders.core.species import species
from orders.core.times import Method, minutes_for
from tests.orders.core.sections import section, studied

every_type = pytest.mark.parametrize("kind", joint_types().values(), ids=joint_types())
SHELF = section(200, 18)


def butt():
    return studied("butt", section(120, 18), section(100, 12))


def test_every_fixing_and_jig_says_that_its_figures_are_invented():
    assert all("invented" in each.source for each in all_fixings().values())
    assert all("invented" in each.source for each in all_jigs().values())
    assert {each.kind for each in all_fixings().values()} == {"nail", "panel-pin", "screw", "bolt"}


@every_type
@pytest.mark.parametrize("method", [Method.HAND, Method.MACHINE])
def test_any_joint_may_carry_fixings_and_only_gains_their_work(kind, method):
    known = study(kind.fitted(*kind.example))
    plain = minutes_for(known, 4, method)
    pinned = minutes_for(known, 4, method, fixings=[carried("panel-pin-20", 2)])
    assert pinned[: len(plain)] == plain
    assert [each.code for each in pinned[len(plain) :]] == ["drive-panel-pin-20"]


def test_driving_is_so_many_times_the_minutes_of_one_and_harder_wood_takes_longer():
    """3 screws of 1.0 min by hand in each of 5 joints: 2 + 5 x 3.0."""
    (*_, driven) = minutes_for(butt(), 5, Method.HAND, fixings=[carried("screw-30", 3)])
    assert driven.total_min == pytest.approx(2 + 5 * 3.0)
    oak = species("oak-white")
    (*_, slower) = minutes_for(butt(), 5, Method.HAND, oak, fixings=[carried("screw-30", 3)])
    assert slower.each_min == pytest.approx(3.0 * oak.time_factor)


@given(st.integers(1, 50), st.integers(1, 200))
def test_cost_is_price_by_count_by_joints(joints, count):
    screw = all_fixings()["screw-40"]
    assert cost_of([Carried(fixing=screw, count=count)], joints) == Decimal("0.06") * count * joints


def test_no_fixings_cost_nothing():
    assert cost_of([], 8) == 0


def test_a_jig_is_set_up_once_and_shortens_boring_and_marking():
    dowel = studied("dowel", section(48, 24), section(60, 24))
    plain = {each.code: each for each in minutes_for(dowel, 10, Method.HAND)}
    jigged = {
        each.code: each for each in minutes_for(dowel, 10, Method.HAND, jig=jig("dowelling-jig"))
    }
    assert jigged["bore"].setup_min == plain["bore"].setup_min + 6
    assert jigged["bore"].each_min == pytest.approx(plain["bore"].each_min * 0.7)
    assert jigged["mark-out"].each_min == pytest.approx(plain["mark-out"].each_min * 0.5)
    assert "line up" in jigged["bore"].hold_to
    assert jigged["glue"] == plain["glue"]


def test_the_jigs_for_a_joint_are_those_that_serve_its_operations():
    dowel = studied("dowel", section(48, 24), section(60, 24))
    codes = [each.code for each in minutes_for(dowel, 1, Method.MACHINE)]
    assert [each.code for each in jigs_for(codes)] == ["dowelling-jig"]


def test_every_jig_serves_an_operation_of_some_joint():
    known = {
        each.code
        for kind in joint_types().values()
        for method in (Method.HAND, Method.MACHINE)
        for each in minutes_for(study(kind.fitted(*kind.example)), 1, method)
    }
    assert all(set(each.operations) <= known for each in all_jigs().values())


def test_a_pin_answers_an_end_glued_to_a_side():
    assert any("holds little" in one.text for one in butt().advice)
    assert advice_with(butt(), [carried("panel-pin-25", 3)]) == ()
    assert advice_with(butt(), []) == butt().advice


def test_a_housing_is_held_against_pulling_out_by_screws_but_not_by_pins():
    housing = studied("housing", SHELF, SHELF)
    pinned = advice_with(housing, [carried("panel-pin-25", 3)])
    screwed = advice_with(housing, [carried("screw-40", 3)])
    assert any("pulled out" in one.text for one in pinned)
    assert screwed == ()


def test_advice_of_another_kind_stays():
    wide = studied("mortise-tenon", section(48, 24), section(60, 24), tenon_thickness_mm=12)
    assert advice_with(wide, [carried("screw-40", 1)]) == wide.advice


def test_a_screw_longer_than_the_parts_is_refused_with_the_length_that_stays_within():
    lap = studied("overlap", section(48, 20), section(48, 20))
    with pytest.raises(RuleBroken, match="comes out on the far side") as refused:
        require_fixings(lap, [carried("screw-30", 2), carried("screw-50", 2)])
    assert (refused.value.field, refused.value.nearest) == ("fixings/1", 39)
    fitting = replace(all_fixings()["screw-50"], length_mm=refused.value.nearest)
    require_fixings(lap, [Carried(fixing=fitting, count=2)])


@pytest.mark.parametrize(("count", "nearest"), [(0, 1), (-3, 1), (10_000, 200)])
def test_no_fixings_or_too_many_are_refused(count, nearest):
    with pytest.raises(RuleBroken) as refused:
        carried("nail-40", count)
    assert (refused.value.field, refused.value.nearest) == ("count", nearest)


def test_unknown_fixings_and_jigs_are_refused_with_the_known_ones():
    with pytest.raises(RuleBroken, match="screw-40") as refused:
        carried("screw-45", 1)
    assert refused.value.field == "fixing"
    with pytest.raises(RuleBroken, match="dowelling-jig") as refused:
        jig("press")
    assert refused.value.field == "jig"
