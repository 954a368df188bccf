"""Alternatives: the same parts, the same arrangement, every figure from the joint's own solids."""

import pytest

from orders.core.alternatives import compare
from orders.core.book import joint_type, joint_types, study
from orders.core.errors import RuleBroken
from orders.core.fixings import carried
from orders.core.joint import Arrangement
from orders.core.species import species
from orders.core.times import Method, minutes_for
from tests.orders.core.sections import section

STILE, RAIL = section(60, 30, 900), section(75, 30, 600)
every_type = pytest.mark.parametrize("kind", joint_types().values(), ids=joint_types())


def codes(comparison) -> list[str]:
    return [each.joint.code for each in comparison.fitting]


def tenon():
    return joint_type("mortise-tenon").fitted(STILE, RAIL, tenon_length_mm=37)


@every_type
def test_the_present_joint_comes_first_and_as_it_is(kind):
    joint = kind.fitted(*kind.example)
    first, *others = compare(joint).fitting
    assert first.is_present
    assert first.joint == joint
    assert not any(each.is_present for each in others)


@every_type
def test_every_alternative_is_fitted_to_the_same_parts(kind):
    joint = kind.fitted(*kind.example)
    for each in compare(joint).fitting:
        assert (each.joint.a, each.joint.b) == (joint.a, joint.b)
        assert set(each.arrangements) & set(joint.arrangements)
        assert each.study is study(each.joint)


@every_type
def test_every_type_has_an_arrangement_and_stands_in_all_it_suits(kind):
    assert kind.suits
    for arrangement in kind.suits:
        joint = kind.fitted(*kind.example, **kind.given_for(arrangement))
        assert arrangement in joint.arrangements


def test_a_rail_may_be_tenoned_dowelled_or_halved_but_not_dovetailed_as_a_box():
    found = codes(compare(tenon()))
    assert {"dowel", "loose-tenon", "t-halving", "pegged-tenon", "corner-bridle"} <= set(found)
    assert not {"through-dovetail", "housing", "tongue-groove"} & set(found)


def test_one_arrangement_leaves_the_others_out():
    found = codes(compare(tenon(), arrangement=Arrangement.TEE))
    assert "t-halving" in found
    assert "corner-halving" not in found


def test_an_arrangement_that_the_joint_cannot_stand_in_is_refused():
    with pytest.raises(RuleBroken, match="boards side by side") as refused:
        compare(tenon(), arrangement=Arrangement.EDGE)
    assert refused.value.field == "arrangement"


def test_edges_are_compared_with_edges():
    board = section(120, 24, 900)
    butt = joint_type("butt").fitted(board, board, meeting="edge_to_edge")
    assert set(codes(compare(butt))) == {"butt", "tongue-groove", "dowelled-edge"}


def test_a_butt_is_offered_with_the_meeting_of_the_arrangement():
    found = {each.joint.code: each.joint for each in compare(tenon()).fitting}
    assert found["butt"].meeting == "end_to_edge"


def test_a_type_that_does_not_fit_says_what_would_have_to_change():
    box = joint_type("rebate").fitted(section(150, 20), section(120, 20))
    comparison = compare(box)
    refused = {each.code: each.fault for each in comparison.refused}
    assert refused["through-dovetail"].field == "b/width_mm"
    assert refused["through-dovetail"].nearest == 150
    assert "through-dovetail" not in codes(comparison)


def test_minutes_are_those_of_the_joint_for_all_of_them_in_the_harder_wood():
    oak, pine = species("oak-white"), species("pine-ponderosa")
    found = {each.joint.code: each for each in compare(tenon(), count=8, wood=(pine, oak)).fitting}
    dowel = found["dowel"]
    by_hand = minutes_for(dowel.study, 8, Method.HAND, oak)
    assert dowel.hand_min == pytest.approx(sum(each.total_min for each in by_hand))
    assert dowel.machine_min < dowel.hand_min


def test_the_others_come_from_the_quickest_by_machine_on():
    _, *others = compare(tenon(), count=4).fitting
    minutes = [each.machine_min for each in others]
    assert minutes == sorted(minutes)


def test_advice_follows_the_timber_and_the_weather():
    teak = species("teak")
    inside = compare(tenon(), wood=(teak, teak)).fitting
    outside = compare(tenon(), is_outdoors=True).fitting
    assert all(any("hard to glue" in one.text for one in each.advice) for each in inside)
    bridle = next(each for each in outside if each.joint.code == "corner-bridle")
    assert any("open to the weather" in one.text for one in bridle.advice)


def test_fixings_are_driven_into_every_alternative_and_answer_its_advice():
    board = joint_type("butt").fitted(section(120, 18), section(100, 12))
    plain, pinned = compare(board), compare(board, fixings=[carried("panel-pin-25", 3)])
    for one, other in zip(plain.fitting, pinned.fitting, strict=True):
        assert other.by_hand[-1].code == "drive-panel-pin-25"
        assert set(other.advice) <= set(one.advice)
    assert not pinned.fitting[0].advice
