"""Convex solids: volumes and cuts against arithmetic and a polygon library."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.solids import Dimension, Plane, Solid, View, cut_away, volume_mm3
from orders.core.vectors import area_vector, dot, norm

sizes = st.floats(min_value=1, max_value=500)


def test_block_has_the_volume_of_its_three_sizes():
    assert Solid.box((1, 2, 3), (10, 20, 30)).volume_mm3 == pytest.approx(6000)


def test_every_face_of_a_block_looks_outward():
    block = Solid.block((-5, 5), (-5, 5), (-5, 5))
    assert all(plane.offset == pytest.approx(5) for plane in block.planes)


@given(diameter=sizes, length=sizes)
def test_rod_has_the_volume_and_the_lateral_area_of_a_true_cylinder(diameter, length):
    rod = Solid.cylinder((0, 0, 0), (length, 0, 0), diameter)
    lateral = sum(
        norm(area_vector(loop)) * rod.round_factor(plane.normal)
        for loop, plane in zip(rod.face_loops, rod.planes, strict=True)
        if abs(plane.normal[0]) < 0.5
    )
    assert rod.volume_mm3 == pytest.approx(pi * diameter**2 / 4 * length)
    assert lateral == pytest.approx(pi * diameter * length)


def test_bored_block_loses_exactly_the_rod():
    block = Solid.box((0, 0, 0), (100, 60, 24))
    left = cut_away((block,), Solid.cylinder((0, 30, 12), (40, 30, 12), 8))
    assert volume_mm3(left) == pytest.approx(100 * 60 * 24 - pi * 16 * 40)


@given(
    normal=st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda n: norm(n) > 0.1),
    offset=st.floats(-40, 40),
)
def test_the_two_halves_of_a_cut_make_up_the_whole(normal, offset):
    length = norm(normal)
    plane = Plane(normal=tuple(part / length for part in normal), offset=offset)
    block = Solid.block((-20, 20), (-15, 15), (-10, 10))
    halves = [half for half in (block.behind(plane), block.behind(plane.turned())) if half]
    assert volume_mm3(halves) == pytest.approx(block.volume_mm3, rel=1e-5)
    assert all(plane.height_of(v) < 1e-4 for v in halves[0].vertices) or len(halves) == 1


@given(
    st.tuples(*[st.floats(-30, 30)] * 3),
    st.tuples(*[st.floats(1, 60)] * 3),
)
def test_what_a_tool_leaves_and_what_it_takes_make_up_the_whole(origin, size):
    block = Solid.block((-20, 20), (-15, 15), (-10, 10))
    tool = Solid.box(origin, size)
    taken = block.within(tool)
    left = block.without(tool)
    assert volume_mm3(left) + (taken.volume_mm3 if taken else 0) == pytest.approx(
        block.volume_mm3, rel=1e-5
    )


def test_dimension_takes_its_number_from_its_own_two_points():
    across = Dimension.between("diagonal", (0, 0, 0), (30, 40, 0), View.FRONT)
    assert across.value_mm == 50


def test_prism_faces_outward_whichever_way_its_outline_runs():
    triangle = ((0, 0, 0), (10, 0, 0), (0, 10, 0))
    for outline in (triangle, triangle[::-1]):
        prism = Solid.prism(outline, (0, 0, 5))
        assert prism.volume_mm3 == pytest.approx(250)
        assert any(
            dot(plane.normal, (0, 0, 1)) > 0.99 and plane.offset == 5 for plane in prism.planes
        )
