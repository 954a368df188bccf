"""Volumes, contact and what holds, of every type at random sizes, against a general mesh library."""

from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orders.core.book import joint_types, study
from orders.core.contact import contacts, loop_area
from orders.core.release import AXES
from orders.core.solids import Geometry
from orders.core.vectors import Vector, dot, times, unit
from tests.orders.core.drawing.joints_to_draw import geometries
from tests.orders.core.meshes import meets, member_body, mesh_of

every_type = pytest.mark.parametrize("kind", joint_types().values(), ids=joint_types())
STEP_MM = 0.25


@every_type
def test_every_solid_is_a_closed_body_of_the_volume_that_meshes_have(kind):
    for member in study(kind.fitted(*kind.example)).geometry.members:
        for solid in member.solids:
            mesh = mesh_of(solid)
            assert mesh.is_watertight
            assert solid.volume_mm3 == pytest.approx(mesh.volume)


@every_type
def test_free_axes_are_those_in_which_the_mesh_of_b_can_be_moved(kind):
    found = study(kind.fitted(*kind.example))
    bodies = {member.key: member_body(member) for member in found.geometry.members}
    for name, way in AXES:
        met = sum(
            meets(bodies["b"], body, times(way, STEP_MM))
            for key, body in bodies.items()
            if key != "b"
        )
        if name in found.holds.free_axes:
            assert met < 0.05, name
        else:
            assert met > 0.05, name


@every_type
def test_every_way_out_is_one_in_which_the_mesh_of_b_can_be_moved(kind):
    found = study(kind.fitted(*kind.example))
    bodies = {member.key: member_body(member) for member in found.geometry.members}
    for way in found.holds.ways:
        for key, body in bodies.items():
            if key != "b":
                assert meets(bodies["b"], body, times(way, STEP_MM)) < 0.1


PUSHES = [
    *(way for _, way in AXES),
    *(unit(way) for way in ((1, 1, 1), (-1, 1, 0.3), (0.4, -1, -1), (-0.5, -0.2, 1))),
]
PUSH_MM = 0.004


def pressed_mm2(faces, one: str, other: str, way: Vector) -> float:
    """What of the faces between two members a push of one presses, seen along the push."""
    total = 0.0
    for face in faces:
        if {face.from_key, face.to_key} == {one, other}:
            into = dot(face.normal, way) * (1 if face.from_key == one else -1)
            total += loop_area(face.outline) * max(0.0, into)
    return total


def check_against_meshes(geometry: Geometry) -> None:
    """Volume of every member; and that what a push displaces is what its faces press."""
    bodies = {member.key: member_body(member) for member in geometry.members}
    for member in geometry.members:
        assert member.volume_mm3 == pytest.approx(bodies[member.key].volume(), rel=1e-6)
    faces = contacts(geometry)
    for one, other in combinations(bodies, 2):
        for way in PUSHES:
            displaced = meets(bodies[one], bodies[other], times(way, PUSH_MM)) / PUSH_MM
            pressed = pressed_mm2(faces, one, other, way)
            assert pressed == pytest.approx(displaced, rel=0.01, abs=3.0), (one, other, way)


@every_type
@given(data=st.data())
@settings(max_examples=10, suppress_health_check=list(HealthCheck))
def test_volumes_and_contact_agree_with_meshes_at_random_sizes(kind, data):
    check_against_meshes(data.draw(geometries((kind,))))
