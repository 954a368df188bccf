"""The contract of a joint type, run over every type the book finds."""

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orders.core.book import joint_types, study
from orders.core.contact import contacts, glue_area
from orders.core.drivers import Quantity
from orders.core.errors import RuleBroken
from orders.core.figures import cautions
from orders.core.joint import Joint, Section, Unit
from orders.core.solids import Geometry, volume_mm3
from orders.core.times import Method, minutes_for, starting_times

every_type = pytest.mark.parametrize("kind", joint_types().values(), ids=joint_types())


def fitted(kind: type[Joint]) -> Joint:
    return kind.fitted(*kind.example)


@every_type
def test_rules_of_thumb_make_a_joint_of_the_example_sections(kind):
    assert fitted(kind).own_dimensions().keys() == {field.name for field in kind.fields()}


@every_type
def test_every_own_dimension_says_its_rule_and_its_source(kind):
    for field in kind.fields(*kind.example):
        assert field.label
        assert field.rule.endswith(".")
        assert field.source
        assert field.default is not None
        assert isinstance(field.unit, Unit)


@every_type
def test_members_do_not_share_any_volume(kind):
    for first, second in combinations(study(fitted(kind)).geometry.members, 2):
        shared = [
            common
            for mine in first.solids
            for theirs in second.solids
            if (common := mine.within(theirs)) is not None
        ]
        assert volume_mm3(shared) == pytest.approx(0, abs=1e-6)


@every_type
def test_solids_of_one_member_do_not_share_any_volume(kind):
    for member in study(fitted(kind)).geometry.members:
        for one, other in combinations(member.solids, 2):
            common = one.within(other)
            assert common is None or common.volume_mm3 == pytest.approx(0, abs=1e-6)


@every_type
def test_cutting_never_adds_wood(kind):
    for member in study(fitted(kind)).geometry.members:
        blank = volume_mm3(member.blank)
        assert 0 < member.volume_mm3 <= blank * (1 + 1e-9)


@every_type
def test_cut_pieces_lie_within_the_blank(kind):
    for member in study(fitted(kind)).geometry.members:
        for solid in member.solids:
            inside = [
                common.volume_mm3
                for blank in member.blank
                if (common := solid.within(blank)) is not None
            ]
            assert sum(inside) == pytest.approx(solid.volume_mm3)


@every_type
def test_members_a_and_b_touch_and_b_can_be_drawn_apart(kind):
    found = study(fitted(kind))
    assert found.glue.total_mm2 > 0
    assert found.geometry.leaves != (0, 0, 0)
    assert found.holds.words.endswith(".")


@every_type
def test_glue_area_is_no_larger_than_the_fitted_surface_of_either_member(kind):
    found = study(fitted(kind))
    for member in found.drivers.members:
        assert member.fitted_mm2 <= found.glue.total_mm2 + 1e-6


@every_type
@pytest.mark.parametrize("factor", [0.5, 2.0, 3.7])
def test_a_larger_copy_has_glue_area_larger_by_the_square(kind, factor):
    geometry = study(fitted(kind)).geometry
    larger = Geometry(members=tuple(member.scaled(factor) for member in geometry.members))
    before, after = glue_area(contacts(geometry)), glue_area(contacts(larger))
    assert after.total_mm2 == pytest.approx(before.total_mm2 * factor**2)
    assert after.long_long_mm2 == pytest.approx(before.long_long_mm2 * factor**2)


@every_type
def test_dimensions_on_the_drawing_are_lengths_of_the_part(kind):
    dimensions = study(fitted(kind)).geometry.dimensions
    assert len(dimensions) >= 3
    assert all(dimension.value_mm > 0 and dimension.label for dimension in dimensions)
    labels = [dimension.label for dimension in dimensions]
    assert len(set(labels)) == len(labels)


@every_type
@pytest.mark.parametrize("method", [Method.HAND, Method.MACHINE])
def test_every_method_has_operations_with_minutes_in_working_order(kind, method):
    timed = minutes_for(study(fitted(kind)), 2, method)
    assert len(timed) >= 3
    assert all(operation.each_min > 0 for operation in timed)
    assert timed[0].code == "mark-out"
    assert timed[-1].code == "glue"


@every_type
def test_every_standard_time_names_a_known_driver_and_caution(kind):
    rows = [row for row in starting_times().rows if row.joint == kind.code]
    assert rows
    for row in rows:
        assert row.driver.rpartition(".")[2] in set(Quantity)
        assert row.caution in ("", *cautions())
        assert row.source == "invented for the demo"


@every_type
@pytest.mark.parametrize("name", ["width_mm", "thickness_mm", "length_mm"])
@pytest.mark.parametrize("size", [0, -5, 20_001, float("nan"), float("inf")])
def test_absurd_sections_are_refused_on_their_own_field(kind, name, size):
    a, b = kind.example
    with pytest.raises(RuleBroken) as refused:
        kind.fitted(a, replace(b, **{name: size}))
    assert refused.value.field == f"b/{name}"
    assert refused.value.message.endswith(".")


@every_type
def test_absurd_own_dimensions_are_refused_on_their_own_field(kind):
    for field in kind.fields():
        for value in ("nonsense", float("nan"), -1, 1e9):
            with pytest.raises(RuleBroken) as refused:
                kind.fitted(*kind.example, **{field.name: value})
            assert refused.value.field == field.name


@every_type
def test_an_unknown_dimension_is_refused_by_name(kind):
    with pytest.raises(RuleBroken, match="has no dimension") as refused:
        kind.fitted(*kind.example, wing_span_mm=3)
    assert refused.value.field == "wing_span_mm"


def joint_or_refusal(kind: type[Joint], a: Section, b: Section) -> Joint | RuleBroken:
    try:
        return kind.fitted(a, b)
    except RuleBroken as refused:
        return refused


sizes = st.floats(min_value=0.1, max_value=20_000)
sections = st.builds(Section, width_mm=sizes, thickness_mm=sizes, length_mm=sizes)


@every_type
@given(a=sections, b=sections)
@settings(max_examples=8)
def test_any_two_sections_make_a_joint_or_are_refused_with_a_sentence(kind, a, b):
    outcome = joint_or_refusal(kind, a, b)
    if isinstance(outcome, RuleBroken):
        assert outcome.message.endswith(".")
    else:
        assert outcome.geometry().member("a").volume_mm3 > 0


workshop = st.integers(6, 120).map(float)
usual = st.builds(Section, width_mm=workshop, thickness_mm=st.integers(9, 60).map(float))


@every_type
@given(a=usual, b=usual)
@settings(max_examples=30)
def test_rules_of_thumb_suit_usual_sections_and_everything_follows(kind, a, b):
    outcome = joint_or_refusal(kind, a, b)
    if isinstance(outcome, RuleBroken):
        assert outcome.field.startswith(("a/", "b/")), outcome.message
        return
    found = study(outcome)
    assert found.glue.total_mm2 > 0
    for member in found.geometry.members:
        assert member.volume_mm3 <= volume_mm3(member.blank) * (1 + 1e-9)
