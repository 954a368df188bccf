"""Laws of the joint book that hold whatever the sizes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.book import joint_types, study
from orders.core.errors import RuleBroken
from tests.orders.core.sections import section, studied

NO_LONG_GRAIN = ("housing", "rebate", "butt", "mitre", "dovetail-housing", "tongued-end")
width, thickness = st.integers(30, 200), st.integers(10, 40)


@pytest.mark.parametrize("code", NO_LONG_GRAIN)
@given(wide=width, thick=thickness)
def test_no_long_grain_meets_long_grain(code, wide, thick):
    """Trap of a naive catalogue: these look well glued and rely on end grain."""
    part = section(wide, thick)
    assert studied(code, part, part).glue.long_long_mm2 == pytest.approx(0, abs=1e-9)


@given(angle=st.integers(20, 160), wide=width, thick=thickness)
def test_a_mitre_is_cut_at_half_the_internal_angle(angle, wide, thick):
    part = section(wide, thick)
    corner = studied("mitre", part, part, internal_angle_degree=angle).joint.corner
    assert corner.cut_degree("a") == pytest.approx(angle / 2)
    assert corner.cut_degree("b") == pytest.approx(angle / 2)


@pytest.mark.parametrize("code", ["corner-halving", "t-halving", "cross-halving"])
@given(wide=width, thick=thickness)
def test_a_halving_takes_half_of_each(code, wide, thick):
    part = section(wide, thick)
    found = studied(code, part, part)
    assert found.joint.lap_thickness_mm == pytest.approx(thick / 2)
    removed = [member.removed_mm3 for member in found.geometry.members]
    assert removed == pytest.approx([wide * wide * thick / 2] * 2)


@pytest.mark.parametrize("kind", joint_types().values(), ids=joint_types())
def test_contact_is_no_larger_than_the_cut_and_met_surface_of_either(kind):
    found = study(kind.fitted(*kind.example))
    between = sum(
        face.area_mm2 for face in found.contacts if {face.from_key, face.to_key} == {"a", "b"}
    )
    for member in found.drivers.members:
        if member.key in ("a", "b"):
            assert between <= member.fitted_mm2 + 1e-6


def test_joints_are_computed_once_for_each_distinct_size():
    one = studied("mortise-tenon", section(48, 24), section(60, 24))
    assert studied("mortise-tenon", section(48, 24), section(60, 24)) is one
    assert studied("mortise-tenon", section(48, 24), section(61, 24)) is not one


@pytest.mark.parametrize(
    ("code", "given_values", "field"),
    [
        ("finger", {"finger_count": 10_000}, "finger_count"),
        ("dowel", {"diameter_mm": 60}, "diameter_mm"),
        ("mitre", {"internal_angle_degree": 0}, "internal_angle_degree"),
        ("mitre", {"internal_angle_degree": 180}, "internal_angle_degree"),
        ("through-dovetail", {"tail_count": 60, "pin_width_mm": 4}, "tail_count"),
        ("mortise-tenon", {"tenon_thickness_mm": 0}, "tenon_thickness_mm"),
        ("mortise-tenon", {"tenon_length_mm": 500}, "tenon_length_mm"),
        ("housing", {"depth_mm": 40}, "depth_mm"),
        ("dowelled-mitre", {"depth_mm": 90}, "depth_mm"),
        ("keyed-mitre", {"key_depth_mm": 900}, "key_depth_mm"),
        ("dowelled-edge", {"diameter_mm": 40}, "diameter_mm"),
    ],
)
def test_impossible_sizes_name_their_field_and_the_nearest_value_that_would_do(
    code, given_values, field
):
    kind = joint_types()[code]
    with pytest.raises(RuleBroken) as refused:
        kind.fitted(*kind.example, **given_values)
    assert refused.value.field == field
    assert refused.value.nearest is not None
    assert kind.fitted(*kind.example, **{**given_values, field: refused.value.nearest})
