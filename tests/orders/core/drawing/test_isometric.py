from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from orders.core.drawing import isometric
from orders.core.drawing.ends import trimmed
from tests.orders.core.drawing.joints_to_draw import TYPES, example_of, geometries
from tests.orders.core.drawing.reading import (
    frame_of,
    is_within,
    overlap,
    points_of,
    root_of,
    words_of,
)

BY_CODE = {kind.code: kind for kind in TYPES}


@pytest.mark.parametrize("kind", TYPES, ids=lambda kind: kind.code)
def test_every_type_is_drawn_with_wood_outline_and_the_names_of_its_parts(kind):
    geometry = example_of(kind)

    svg = isometric(geometry, ident="here")

    assert root_of(svg).get("aria-labelledby") == "here-title"
    assert "style=" not in svg
    assert "#" not in svg
    for classes in ("d-face", "d-heavy", "d-thin", "d-grain"):
        assert points_of(svg, classes), classes
    texts = [words.text for words in words_of(svg)]
    assert {member.label for member in geometry.members} <= set(texts)


@given(geometry=geometries())
@settings(max_examples=120, suppress_health_check=list(HealthCheck))
def test_no_label_covers_another_or_leaves_the_drawing(geometry):
    svg = isometric(
        geometry, labels={"a": "P12 left side of the bench", "b": "P13 lower cross rail, front"}
    )

    words, frame = words_of(svg), frame_of(svg)
    for place, one in enumerate(words):
        for corner in one.corners:
            assert is_within(corner, frame), one.text
        for other in words[place + 1 :]:
            assert not overlap(one.corners, other.corners), (one.text, other.text)


@given(geometry=geometries())
@settings(max_examples=80, suppress_health_check=list(HealthCheck))
def test_nothing_is_drawn_outside_the_frame(geometry):
    svg = isometric(geometry)

    frame = frame_of(svg)
    for spot in points_of(svg):
        assert is_within(spot, frame)


def test_the_same_joint_is_always_drawn_the_same():
    kind = BY_CODE["mortise-tenon"]

    first = isometric(example_of(kind), ident="one")
    isometric.__globals__["_isometric"].cache_clear()
    again = isometric(example_of(kind), ident="one")

    assert first == again


def test_a_label_names_a_part_and_is_escaped():
    svg = isometric(example_of(BY_CODE["mortise-tenon"]), labels={"a": "P1 <leg> & foot"})

    assert "P1 &lt;leg&gt; &amp; foot" in svg
    assert "P1 <leg> & foot" in [words.text for words in words_of(svg)]


def test_the_sizes_of_a_tenon_stand_beside_it_in_the_unit_asked_for():
    geometry = example_of(BY_CODE["mortise-tenon"])
    sizes = {one.label: one.value_mm for one in geometry.dimensions}

    texts = [words.text for words in words_of(isometric(geometry))]
    inches = [words.text for words in words_of(isometric(geometry, unit="in"))]

    told = (sizes["tenon thickness"], sizes["tenon width"], sizes["tenon length"])
    assert "tenon " + " × ".join(f"{value:g}" for value in told) in texts
    assert any(text.startswith("tenon 5/16 × ") for text in inches)


def test_with_every_name_empty_there_are_no_words():
    geometry = example_of(BY_CODE["mortise-tenon"])

    svg = isometric(geometry, labels={member.key: "" for member in geometry.members})

    assert words_of(svg) == []


def test_a_mortise_is_hatched_and_its_depth_is_dashed():
    svg = isometric(example_of(BY_CODE["mortise-tenon"]))

    assert points_of(svg, "d-cut")
    assert points_of(svg, "d-hatch")
    assert points_of(svg, "d-hidden")


def test_dowels_come_between_the_holes_and_the_rail():
    svg = isometric(example_of(BY_CODE["dowel"]))

    assert points_of(svg, "d-cut")
    assert points_of(svg, "d-explode")


@pytest.mark.parametrize("code", ["tongue-groove", "dowelled-edge"])
def test_long_boards_side_by_side_are_cut_off_beyond_what_is_measured(code):
    kind = BY_CODE[code]
    long = replace(kind.example[0], length_mm=2400)
    geometry = kind.fitted(long, long).geometry()

    drawn = trimmed(geometry)

    reaches = [
        max(corner[1] for corner in member.blank[0].vertices) for member in drawn.members[:2]
    ]
    assert reaches[0] == pytest.approx(reaches[1])
    assert reaches[0] < 1200
    assert [one.value_mm for one in drawn.dimensions] == [
        one.value_mm for one in geometry.dimensions
    ]
    for member in drawn.members[2:]:
        for solid in member.solids:
            assert max(corner[1] for corner in solid.vertices) < reaches[0]
