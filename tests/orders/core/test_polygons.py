"""Sloping joints at random sizes against polygons: a slice of each member, met edge to edge."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import MultiPoint, unary_union
from shapely.affinity import translate

from orders.core.book import joint_type, study
from orders.core.contact import loop_area
from orders.core.errors import RuleBroken
from orders.core.joint import Joint, Section
from tests.orders.core.sections import section

SLIGHT_MM = 1e-3
STEP_MM = 0.2
X, Y, Z = 0, 1, 2


def sliced(geometry, key: str, axis: int, at: float):
    """The outline of a member where a plane square to an axis cuts it; its solids are prisms."""
    shapes = []
    for solid in geometry.member(key).solids:
        corners = np.array(solid.vertices)
        if corners[:, axis].min() < at < corners[:, axis].max():
            shapes.append(MultiPoint(np.delete(corners, axis, axis=1)).convex_hull)
    return unary_union(shapes)


def met_mm(one, other) -> float:
    """The length along which two outlines touch, by the strip that both reach when grown."""
    both = one.buffer(SLIGHT_MM, cap_style="flat", join_style="mitre").intersection(
        other.buffer(SLIGHT_MM, cap_style="flat", join_style="mitre")
    )
    return both.area / (2 * SLIGHT_MM)


def faced_mm(found, axis: int, at: float) -> float:
    """The length of the contact faces of a and b in the same slice."""
    total = 0.0
    for face in found.contacts:
        reach = [corner[axis] for corner in face.outline]
        if {face.from_key, face.to_key} == {"a", "b"} and min(reach) < at < max(reach):
            total += loop_area(face.outline) / (max(reach) - min(reach))
    return total


def fitted(code: str, a: Section, b: Section, **given_values) -> Joint:
    try:
        return joint_type(code).fitted(a, b, **given_values)
    except RuleBroken:
        assume(False)
        raise


wide = st.integers(20, 150)
thin = st.integers(8, 40)
slope = st.floats(4, 10)


@st.composite
def sloping(draw):
    """A joint with sloping faces, the axis it is a prism along, and where to slice it."""
    code = draw(st.sampled_from(sorted(SLICES)))
    a = section(draw(wide), draw(thin))
    b = section(draw(wide), draw(thin))
    given_values = {}
    if code in ("through-dovetail", "lapped-dovetail", "scarf"):
        b = section(a.width_mm, draw(thin) if code != "scarf" else a.thickness_mm)
    if code == "scarf":
        given_values["scarf_slope"] = draw(slope)
    elif "dovetail" in code:
        given_values["slope"] = draw(slope)
    elif "mitre" in code:
        given_values["internal_angle_degree"] = draw(st.integers(50, 130))
    joint = fitted(code, a, b, **given_values)
    axis, height = SLICES[code]
    return joint, axis, height(joint)


SLICES = {
    "through-dovetail": (Y, lambda joint: joint.b.thickness_mm * 0.37),
    "lapped-dovetail": (Y, lambda joint: joint.b.thickness_mm * 0.37),
    "dovetail-halving": (Z, lambda joint: -joint.lap_thickness_mm * 0.41),
    "dovetail-housing": (Z, lambda joint: -joint.b.width_mm * 0.43),
    "mitre": (Z, lambda joint: 0.11),
    "splined-mitre": (Z, lambda joint: min(joint.a.thickness_mm, joint.b.thickness_mm) * 0.45),
    "mitred-bridle": (Z, lambda joint: joint.tongue_thickness_mm / 2 + 0.2),
    "scarf": (Y, lambda joint: joint.a.width_mm * 0.4),
    "wedged-tenon": (Z, lambda joint: joint.tenon_thickness_mm * 0.3),
}


@given(sloping())
@settings(max_examples=120)
def test_sloping_faces_are_as_long_as_the_edges_that_polygons_share(case):
    joint, axis, at = case
    found = study(joint)
    one, other = (sliced(found.geometry, key, axis, at) for key in "ab")
    assert faced_mm(found, axis, at) == pytest.approx(met_mm(one, other), rel=2e-3, abs=0.1)


@given(sloping())
@settings(max_examples=120)
def test_no_polygon_lies_in_another(case):
    joint, axis, at = case
    one, other = (sliced(study(joint).geometry, key, axis, at) for key in "ab")
    assert one.intersection(other).area < 1e-6


def test_polygons_of_a_through_dovetail_hold_its_tails_but_along_the_pins():
    found = study(joint_type("through-dovetail").fitted(section(150, 20), section(150, 20)))
    pins, tails = (sliced(found.geometry, key, Y, 7.0) for key in "ab")
    for move in ((STEP_MM, 0), (-STEP_MM, 0), (0, STEP_MM), (0, -STEP_MM)):
        assert translate(tails, *move).intersection(pins).area > 0.01
    assert found.holds.free_axes == ("+y",)
