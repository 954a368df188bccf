"""What holds dry: the cone of free directions, exactly."""

from itertools import combinations
from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.book import joint_type, joint_types, study
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


def held(code: str) -> set[str]:
    kind = joint_type(code)
    return set(study(kind.fitted(*kind.example)).holds.held_axes)


def test_a_halving_holds_more_the_more_of_it_is_enclosed():
    """Common practice: T more than corner, cross and dovetail more than T."""
    assert held("corner-halving") < held("t-halving") < held("dovetail-halving")
    assert held("t-halving") < held("cross-halving")


@pytest.mark.parametrize("code", ["through-dovetail", "lapped-dovetail", "double-tenon"])
def test_some_joints_come_apart_in_one_direction_only(code):
    kind = joint_type(code)
    assert study(kind.fitted(*kind.example)).holds.is_one_way


@pytest.mark.parametrize("code", ["pegged-tenon", "wedged-tenon"])
def test_peg_and_wedge_lock_a_tenon(code):
    kind = joint_type(code)
    holds = study(kind.fitted(*kind.example)).holds
    assert holds.is_locked
    assert holds.ways == ()


every_type = pytest.mark.parametrize("kind", joint_types().values(), ids=joint_types())


@every_type
def test_the_cone_of_every_type_is_the_set_of_directions_that_no_face_forbids(kind):
    """400 directions by chance: the cone spanned by the ways against the faces themselves."""
    found = study(kind.fitted(*kind.example))
    normals = np.array(
        [
            face.normal if face.to_key == "b" else times(face.normal, -1.0)
            for face in found.contacts
            if "b" in (face.from_key, face.to_key)
        ]
    )
    directions = np.random.default_rng(7).normal(size=(400, 3))
    directions /= np.linalg.norm(directions, axis=1)[:, None]
    clearance = (directions @ normals.T).min(axis=1)
    spanned = np.array([lies_in_cone(way, found.holds.ways) for way in directions])
    free = clearance >= 1e-6
    doubtful = np.abs(clearance) < 1e-6
    assert (spanned == free)[~doubtful].all()


@every_type
def test_every_way_out_forbids_no_face(kind):
    found = study(kind.fitted(*kind.example))
    for way in found.holds.ways:
        for face in found.contacts:
            if "b" in (face.from_key, face.to_key):
                normal = face.normal if face.to_key == "b" else times(face.normal, -1.0)
                assert dot(way, normal) >= -1e-6


def lies_in_cone(direction, ways) -> bool:
    """Whether a direction is a sum of three of the ways with no negative share (Carathéodory)."""
    for three in combinations(ways, 3):
        spanning = np.array(three).T
        if (
            abs(np.linalg.det(spanning)) > 1e-9
            and (np.linalg.solve(spanning, direction) >= -1e-9).all()
        ):
            return True
    return False
