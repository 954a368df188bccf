"""What holds dry: the cone of free directions, exactly."""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.release import cone
from orders.core.vectors import X, Y, Z, dot, norm, times, unit
from tests.orders.core.sections import section, studied

STILE, RAIL = section(48, 24), section(60, 24)


def negative(axis):
    return times(axis, -1.0)


def test_nothing_in_the_way_leaves_every_direction():
    assert cone(()) == ((X, Y, Z), ())


def test_one_face_leaves_half_of_all_directions():
    slides, leaves = cone((X,))
    assert set(slides) == {Y, Z}
    assert leaves == (X,)


def test_two_opposite_faces_leave_their_own_plane():
    slides, leaves = cone((Z, negative(Z)))
    assert set(slides) == {X, Y}
    assert leaves == ()


def test_a_wedge_of_two_faces_leaves_the_edges_of_the_wedge():
    slides, leaves = cone((X, unit((1.0, 1.0, 0.0))))
    assert slides == (Z,)
    expected = {(0.0, 1.0, 0.0), (round(1 / sqrt(2), 6), round(-1 / sqrt(2), 6), 0.0)}
    assert {tuple(round(part, 6) for part in ray) for ray in leaves} == expected


def test_six_faces_hold_in_every_direction():
    normals = tuple(way for axis in (X, Y, Z) for way in (axis, negative(axis)))
    assert cone(normals) == ((), ())


normals = st.lists(
    st.tuples(*[st.integers(-3, 3)] * 3).filter(any).map(lambda n: unit(tuple(map(float, n)))),
    max_size=7,
)


@given(normals)
def test_every_edge_and_line_of_the_cone_is_free(faces):
    slides, leaves = cone(faces)
    for direction in (*slides, *(negative(line) for line in slides), *leaves):
        assert norm(direction) == pytest.approx(1)
        assert all(dot(direction, face) > -1e-6 for face in faces)


@given(normals, st.tuples(*[st.integers(-3, 3)] * 3).filter(any))
def test_no_free_direction_is_missed(faces, direction):
    """If a direction is strictly free, the cone is not empty; sampling can only find this out."""
    free = all(dot(unit(tuple(map(float, direction))), face) > 1e-6 for face in faces)
    slides, leaves = cone(faces)
    assert not free or slides or leaves


@given(normals, normals)
def test_one_more_face_never_frees_an_axis(faces, more):
    def free(given_faces):
        return {
            axis
            for way in (X, Y, Z)
            for axis in (way, negative(way))
            if all(dot(axis, face) >= -1e-7 for face in given_faces)
        }

    assert free((*faces, *more)) <= free(faces)


def test_tenon_comes_apart_only_along_the_rail():
    holds = studied("mortise-tenon", STILE, RAIL).holds
    assert holds.words == "Comes apart only along the rail."
    assert holds.is_one_way
    assert holds.held_axes == ("-x", "+y", "-y", "+z", "-z")


def test_corner_halving_says_all_three_ways():
    holds = studied("corner-halving", STILE, RAIL).holds
    assert holds.words == (
        "Comes apart along the rail, along the stile or off the face, and any way between."
    )


def test_housing_is_pulled_out_or_slid_either_way():
    holds = studied("housing", section(200, 18), section(200, 18)).holds
    assert holds.words == "Comes apart along the shelf, and slides either way square to both."


def test_butt_bears_one_way_only():
    holds = studied("butt", STILE, RAIL).holds
    assert holds.is_loose
    assert holds.words.startswith("Bears one way only")


def test_tenon_holds_in_more_directions_than_halving_and_halving_in_more_than_butt():
    held = [
        len(studied(code, STILE, RAIL).holds.held_axes)
        for code in ("mortise-tenon", "corner-halving", "butt")
    ]
    assert held == sorted(held, reverse=True)
    assert len(set(held)) == 3
