import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orders.core.drawing import figure, view, views
from orders.core.solids import View
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
WHICH = st.sampled_from(list(View))
UNIT = st.sampled_from(["mm", "in"])


@pytest.mark.parametrize("kind", TYPES, ids=lambda kind: kind.code)
@pytest.mark.parametrize("which", list(View))
def test_every_length_of_a_view_is_written_on_it_and_nothing_else_is(kind, which):
    geometry = example_of(kind)

    svg = view(geometry, which)

    written = {words.text for words in words_of(svg)}
    meant = {figure(one.value_mm) for one in geometry.dimensions if one.view == which}
    assert written == meant
    assert "style=" not in svg
    assert points_of(svg, "d-heavy")


@given(geometry=geometries(), which=WHICH, unit=UNIT)
@settings(max_examples=200, suppress_health_check=list(HealthCheck))
def test_no_figure_covers_another_or_leaves_the_drawing(geometry, which, unit):
    svg = view(geometry, which, unit)

    words, frame = words_of(svg), frame_of(svg)
    for place, one in enumerate(words):
        for corner in one.corners:
            assert is_within(corner, frame), one.text
        for other in words[place + 1 :]:
            assert not overlap(one.corners, other.corners), (one.text, other.text)


@given(geometry=geometries(), which=WHICH, unit=UNIT)
@settings(max_examples=80, suppress_health_check=list(HealthCheck))
def test_every_figure_is_a_length_of_the_joint_and_nothing_leaves_the_frame(geometry, which, unit):
    svg = view(geometry, which, unit)

    plain = "mm" if unit == "mm" else "inch"
    meant = {figure(one.value_mm, plain) for one in geometry.dimensions if one.view == which}
    assert {words.text for words in words_of(svg)} <= meant
    frame = frame_of(svg)
    for spot in points_of(svg):
        assert is_within(spot, frame)


def test_hidden_edges_of_a_tenon_are_dashed_in_front_and_cut_open_from_above():
    drawn = views(example_of(BY_CODE["mortise-tenon"]), ident="j")

    assert points_of(drawn[View.FRONT], "d-hidden")
    assert not points_of(drawn[View.TOP], "d-hidden")
    assert points_of(drawn[View.TOP], "d-end")
    assert root_of(drawn[View.TOP]).get("aria-labelledby") == "j-top-title"


def test_the_three_views_have_one_scale():
    geometry = example_of(BY_CODE["mortise-tenon"])
    heights = {}
    for which in (View.FRONT, View.SIDE):
        spots = points_of(view(geometry, which), "d-face")
        heights[which] = max(v for _, v in spots) - min(v for _, v in spots)

    assert heights[View.FRONT] == pytest.approx(heights[View.SIDE], abs=0.2)


def test_a_dimension_line_is_as_long_as_its_figure_says_to_scale():
    geometry = example_of(BY_CODE["mortise-tenon"])
    stile, tenon = (
        next(one for one in geometry.dimensions if one.label == label)
        for label in ("stile width", "tenon width")
    )
    svg = view(geometry, View.FRONT)

    ticks = points_of(svg, "d-tick")
    spots = {
        ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in zip(ticks[::2], ticks[1::2], strict=True)
    }
    level = [
        abs(one[0] - other[0])
        for one in spots
        for other in spots
        if abs(one[1] - other[1]) < 0.2 and one != other
    ]
    upright = [
        abs(one[1] - other[1])
        for one in spots
        for other in spots
        if abs(one[0] - other[0]) < 0.2 and one != other
    ]
    ratio = stile.value_mm / tenon.value_mm
    assert any(abs(a / b - ratio) < 0.01 for a in level for b in upright)


def test_a_dowel_is_cut_through_its_middle_in_the_section():
    svg = view(example_of(BY_CODE["dowel"]), View.TOP)

    assert len(points_of(svg, "d-heavy")) > 12


def test_the_title_says_the_lengths_in_words():
    svg = view(example_of(BY_CODE["mortise-tenon"]), View.FRONT, "in")

    title = next(iter(root_of(svg))).text
    assert title.startswith("Front view, dimensions in inches: tenon length ")
