"""The contract of a pattern, run over every pattern the book finds."""

from collections import Counter
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orders.core.book import joint_type, study
from orders.core.drawing import assembly
from orders.core.errors import RuleBroken
from orders.core.joint import Section
from orders.core.orderfile import OrderAssembly, OrderPart
from orders.core.pattern import Axis, Made, Measure, Pattern
from orders.core.pattern_book import all_patterns, pattern
from orders.core.species import all_species
from orders.core.times import Method, extra_operations
from tests.orders.core.drawing.reading import frame_of, is_within, overlap, words_of

every_pattern = pytest.mark.parametrize("kind", all_patterns().values(), ids=all_patterns())

DRY = ("panel", "bottom", "back", "board", "slat", "lid")


def whole(root: OrderAssembly) -> list[OrderAssembly]:
    return [root, *(inner for each in root.assemblies for inner in whole(each))]


def section(part: OrderPart) -> Section:
    return Section(width_mm=part.width_mm, thickness_mm=part.thickness_mm, length_mm=part.length_mm)


def fitted(made_assembly: OrderAssembly):
    parts = {part.mark: part for part in made_assembly.parts}
    for joint in made_assembly.joints:
        a, b = parts[joint.part_a], parts[joint.part_b]
        yield (
            joint,
            b,
            study(joint_type(joint.type).fitted(section(a), section(b), **dict(joint.dimensions))),
        )


@every_pattern
def test_fields_say_their_range_and_the_default_lies_in_it(kind):
    for each in kind.fields():
        assert each.label
        if each.measure is Measure.CHOICE:
            assert each.default in each.choices
        elif each.measure is Measure.SPECIES:
            assert each.default in all_species()
        else:
            assert each.least <= each.default <= each.most


@every_pattern
def test_defaults_make_parts_and_joints(kind):
    made = kind.of().made()
    assert made.assembly.parts
    assert made.assembly.joints
    assert made.pieces


def check_made(made) -> None:
    """What must be true of anything that a pattern makes."""
    for each in whole(made.assembly):
        for part in each.parts:
            assert min(part.length_mm, part.width_mm, part.thickness_mm) >= 0.5, part
            assert part.quantity >= 1
        marks = [part.mark for part in each.parts]
        assert len(set(marks)) == len(marks)
        for _, _, known in fitted(each):
            assert known.glue.total_mm2 > 0
    for piece in made.pieces:
        assert min(piece.block.size) > 0, piece
    for gap in made.gaps:
        assert gap.value_mm >= 0
        assert gap.reason.endswith(".")


@every_pattern
def test_every_joint_fits_its_parts_and_volumes_are_positive(kind):
    check_made(kind.of().made())


@every_pattern
def test_there_are_as_many_pieces_in_place_as_in_the_list(kind):
    made = kind.of().made()
    placed = Counter((piece.assembly, piece.mark) for piece in made.pieces)
    for depth, each in enumerate(whole(made.assembly)):
        for part in each.parts:
            name = "" if depth == 0 else each.name
            assert placed[name, part.mark] == part.quantity * (each.quantity if depth else 1)


@every_pattern
def test_the_length_of_a_part_is_what_shows_and_what_enters_its_joints(kind):
    made = kind.of().made()
    for depth, each in enumerate(whole(made.assembly)):
        name = "" if depth == 0 else each.name
        entering: Counter[str] = Counter()
        for joint, part, known in fitted(each):
            entering[part.mark] += known.b_length_in_joint_mm * joint.count / part.quantity
        for part in each.parts:
            if any(word in part.name for word in DRY) and entering[part.mark] == 0:
                continue
            piece = next(
                piece for piece in made.pieces if (piece.assembly, piece.mark) == (name, part.mark)
            )
            if piece.block.outline or part.name == "slat":
                continue
            shown = piece.block.along(piece.grain)
            assert part.length_mm == pytest.approx(shown + entering[part.mark], abs=0.01), part.name


@every_pattern
def test_glue_keeps_away_from_panels_and_bottoms(kind):
    for each in whole(kind.of().made().assembly):
        dry = {part.mark for part in each.parts if "dry" in part.note}
        for joint in each.joints:
            if {joint.part_a, joint.part_b} & dry:
                assert "dry" in joint.name


@every_pattern
def test_straight_pieces_do_not_stand_in_one_another(kind):
    pieces = [piece for piece in kind.of().made().pieces if not piece.block.outline]
    for one, other in combinations(pieces, 2):
        shared = [
            min(a + da, b + db) - max(a, b)
            for a, da, b, db in zip(
                one.block.at, one.block.size, other.block.at, other.block.size, strict=True
            )
        ]
        assert min(shared) < 0.01, (one.name, other.name)


@every_pattern
def test_extra_work_is_known_to_the_standard_times(kind):
    known = {
        step.code for method in (Method.HAND, Method.MACHINE) for step in extra_operations(method)
    }
    for each in whole(kind.of().made().assembly):
        assert {extra.operation for extra in each.extras} <= known


@every_pattern
def test_what_is_out_of_range_is_refused_with_the_nearest_value(kind):
    for each in kind.fields():
        if each.measure in (Measure.CHOICE, Measure.SPECIES):
            with pytest.raises(RuleBroken) as refused:
                kind.of(**{each.name: "nonsense"})
            assert refused.value.field == each.name
            continue
        for value, nearest in ((each.most + 1, each.most), (each.least - 1, each.least)):
            with pytest.raises(RuleBroken) as refused:
                kind.of(**{each.name: value})
            assert (refused.value.field, refused.value.nearest) == (each.name, nearest)


@every_pattern
def test_an_unknown_field_is_refused_by_name(kind):
    with pytest.raises(RuleBroken, match="has no wing_span") as refused:
        kind.of(wing_span=3)
    assert refused.value.field == "wing_span"


def any_values(kind: type[Pattern]):
    """Values of every field within its range."""
    ways = {}
    for each in kind.fields():
        if each.measure is Measure.CHOICE:
            ways[each.name] = st.sampled_from(each.choices)
        elif each.measure is Measure.SPECIES:
            ways[each.name] = st.sampled_from(["oak-white", "pine-ponderosa", "beech-european"])
        elif each.measure is Measure.COUNT:
            ways[each.name] = st.integers(int(each.least), int(each.most))
        else:
            ways[each.name] = st.integers(round(each.least), round(each.most)).map(float)
    return st.fixed_dictionaries(ways)


@every_pattern
@given(data=st.data())
@settings(max_examples=40, suppress_health_check=list(HealthCheck))
def test_any_sizes_are_made_or_refused_on_a_field_with_a_sentence(kind, data):
    outcome = made_or_refused(kind, data.draw(any_values(kind)))
    if isinstance(outcome, RuleBroken):
        assert outcome.field in {each.name for each in kind.fields()}, outcome.message
        assert outcome.message.endswith(".")
    else:
        check_made(outcome)


def made_or_refused(kind: type[Pattern], values) -> Made | RuleBroken:
    try:
        return kind.of(**values).made()
    except RuleBroken as refused:
        return refused


@every_pattern
@given(data=st.data())
@settings(max_examples=30, suppress_health_check=list(HealthCheck))
def test_one_field_changed_is_made_or_its_nearest_value_would_do(kind, data):
    each = data.draw(
        st.sampled_from(
            [one for one in kind.fields() if one.measure not in (Measure.CHOICE, Measure.SPECIES)]
        )
    )
    value = data.draw(st.integers(round(each.least), round(each.most)))
    first = made_or_refused(kind, {each.name: value})
    if isinstance(first, RuleBroken) and first.nearest is not None:
        again = made_or_refused(kind, {each.name: value, first.field: first.nearest})
        if isinstance(again, RuleBroken):
            assert again.field != first.field, (first.message, again.message)


@every_pattern
def test_the_assembly_is_drawn_with_its_marks_within_the_frame(kind):
    made = kind.of().made()
    svg = assembly(made.pieces, title=kind.label)
    words, frame = words_of(svg), frame_of(svg)
    assert words
    for number, one in enumerate(words):
        assert all(is_within(corner, frame) for corner in one.corners), one.text
        for other in words[number + 1 :]:
            assert not overlap(one.corners, other.corners), (one.text, other.text)


@every_pattern
def test_without_marks_the_assembly_has_no_words(kind):
    assert words_of(assembly(kind.of().made().pieces, with_marks=False)) == []


def test_an_unknown_pattern_is_refused_with_near_ones():
    with pytest.raises(RuleBroken, match="table") as refused:
        pattern("tabel")
    assert refused.value.field == "pattern"


def test_sizes_follow_the_fields():
    small, large = pattern("table").of(), pattern("table").of(length_mm=1600)
    for one, other in zip(small.made().assembly.parts, large.made().assembly.parts, strict=True):
        longer = 200 if one.name in ("long apron", "first top board", "top board") else 0
        assert other.length_mm == pytest.approx(one.length_mm + longer)
        assert (other.width_mm, other.thickness_mm) == (one.width_mm, one.thickness_mm)


def test_a_table_with_two_drawers_holds_two_drawers():
    made = pattern("table").of(drawers=2).made()
    (drawer,) = made.assembly.assemblies
    assert drawer.quantity == 2
    assert {joint.type for joint in drawer.joints} == {"lapped-dovetail", "housing"}
    check_made(made)


def test_a_panel_is_narrower_than_its_grooves_by_what_it_swells():
    """Oak, 8 to 13 %: 398 mm x 0.00365 x 5 / 2 = 3.6 mm in each groove of 9."""
    made = pattern("frame-panel-door").of().made()
    panel = next(part for part in made.assembly.parts if part.name == "panel")
    (gap,) = made.gaps
    assert gap.value_mm == pytest.approx(398 * 0.00365 * 5 / 2, abs=0.05)
    assert panel.width_mm == pytest.approx(380 + 2 * (9 - 398 * 0.00365 * 5 / 2), abs=0.01)


def test_a_stair_says_that_it_follows_codes_and_what_is_unusual():
    usual = pattern("stair-flight").of().made().cautions
    steep = pattern("stair-flight").of(going_mm=180, risers=12).made().cautions
    assert "local codes" in usual[0]
    assert len(usual) == 1
    low = pattern("stair-flight").of(total_rise_mm=1500, risers=12, going_mm=230).made().cautions
    assert len(low) == 2
    assert len(steep) == 1


def test_frames_take_any_of_their_corners():
    kind = pattern("plain-frame")
    corner = next(each for each in kind.fields() if each.name == "corner")
    for code in corner.choices:
        made = kind.of(corner=code).made()
        assert {joint.type for joint in made.assembly.joints} == {code}


def test_a_stool_with_a_back_is_a_chair():
    stool, chair = pattern("stool").of().made(), pattern("stool").of(back_height_mm=850).made()
    assert len(chair.assembly.parts) == len(stool.assembly.parts) + 1
    rear = next(part for part in chair.assembly.parts if part.name == "rear leg")
    assert rear.length_mm == 850


def test_pieces_move_with_the_assembly_that_holds_them():
    made = pattern("table").of(drawers=2).made()
    fronts = [piece for piece in made.pieces if piece.name == "drawer front"]
    assert len(fronts) == 2
    first, second = (replace(each, block=replace(each.block, at=(0, 0, 0))) for each in fronts)
    assert first == second
    assert fronts[1].block.at[0] > fronts[0].block.at[0] + fronts[0].block.along(Axis.X)
