"""Contact and glue area against worked examples and a count of 1 mm cubes."""

from collections import Counter

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from orders.core.contact import contacts, glue_area
from orders.core.solids import Geometry
from tests.orders.core.sections import section, studied
from tests.orders.core.voxels import Voxels

STILE, RAIL = section(48, 24), section(60, 24)

# Long-long, long-end, end-end and the free axes, each worked by hand from the solid.
WORKED = {
    "through mortise and tenon: 2x40x48; 2x8x48 + 24x60 - 8x40": (
        ("mortise-tenon", STILE, RAIL),
        {"tenon_thickness_mm": 8, "tenon_width_mm": 40, "tenon_length_mm": 48},
        (3840, 1888, 0),
        {"+x"},
    ),
    "stopped mortise and tenon, 2 clearance: 2x40x30; 480 + 1120": (
        ("mortise-tenon", STILE, RAIL),
        {
            "tenon_thickness_mm": 8,
            "tenon_width_mm": 40,
            "tenon_length_mm": 30,
            "clearance_mm": 2,
        },
        (2400, 1600, 0),
        {"+x"},
    ),
    "stopped mortise and tenon that bottoms: and its end 8x40": (
        ("mortise-tenon", STILE, RAIL),
        {
            "tenon_thickness_mm": 8,
            "tenon_width_mm": 40,
            "tenon_length_mm": 30,
            "clearance_mm": 0,
        },
        (2400, 1920, 0),
        {"+x"},
    ),
    "haunched: 2wL + 2he; tL + t(L-e) + th + TH - t(w+h)": (
        ("haunched-mortise-tenon", STILE, RAIL),
        {
            "tenon_thickness_mm": 8,
            "tenon_width_mm": 36,
            "tenon_length_mm": 32,
            "haunch_width_mm": 16,
            "haunch_length_mm": 8,
        },
        (2 * 36 * 32 + 2 * 16 * 8, 8 * 32 + 8 * 24 + 8 * 16 + 24 * 60 - 8 * 52, 0),
        {"+x"},
    ),
    "corner halving: 48x48; (48+48)x12": (
        ("corner-halving", section(48, 24), section(48, 24)),
        {},
        (2304, 1152, 0),
        {"+x", "+y", "+z"},
    ),
    "through housing, shelf 18 x 200, 6 deep: 18x200 + 2x200x6": (
        ("housing", section(200, 18), section(200, 18)),
        {"depth_mm": 6},
        (0, 6000, 0),
        {"+x", "+z", "-z"},
    ),
    "housing stopped by 10: 18x6; 18x200 + 2x190x6": (
        ("housing", section(200, 18), section(200, 18)),
        {"depth_mm": 6, "stop_mm": 10},
        (108, 5880, 0),
        {"+x", "-z"},
    ),
    "butt end to face 12 x 100": (
        ("butt", section(120, 18), section(100, 12)),
        {},
        (0, 1200, 0),
        {"+x", "+y", "-y", "+z", "-z"},
    ),
    "T halving: 48x60; 60x12 + 48x24": (
        ("t-halving", STILE, RAIL),
        {},
        (2880, 60 * 12 + 48 * 24, 0),
        {"+x", "+z"},
    ),
    "cross halving: 2304; 96x24": (
        ("cross-halving", section(48, 24), section(48, 24)),
        {},
        (2304, 2304, 0),
        {"+z"},
    ),
    "corner bridle: 2x48x48; 2x48x8 + 48x8": (
        ("corner-bridle", section(48, 24), section(48, 24)),
        {},
        (4608, 1152, 0),
        {"+x", "+y"},
    ),
    "T bridle: 2x48x60; 4x48x8 + 60x8": (
        ("t-bridle", STILE, RAIL),
        {},
        (5760, 4 * 48 * 8 + 60 * 8, 0),
        {"+x"},
    ),
    "overlap 48 x 48": (
        ("overlap", section(48, 24), section(48, 24)),
        {},
        (2304, 0, 0),
        {"+x", "-x", "+y", "-y", "+z"},
    ),
    "rebate corner, 20 thick, 12 in 18: 20x150 + 12x150": (
        ("rebate", section(150, 18), section(150, 20)),
        {"depth_mm": 12},
        (0, 4800, 0),
        {"+x", "+y", "+z", "-z"},
    ),
    "tongue and groove, bottoming: (24 + 16) x 300": (
        ("tongue-groove", section(100, 24, 300), section(100, 24, 300)),
        {"clearance_mm": 0},
        (12000, 0, 0),
        {"+x", "+y", "-y"},
    ),
    "tongue and groove, 1 clear: (24 - 8 + 16) x 300": (
        ("tongue-groove", section(100, 24, 300), section(100, 24, 300)),
        {"clearance_mm": 1},
        (9600, 0, 0),
        {"+x", "+y", "-y"},
    ),
    "bare-faced: 2wL; 2tL + T_rail H - tw": (
        ("barefaced-tenon", section(48, 30), section(60, 16)),
        {"tenon_thickness_mm": 10, "tenon_width_mm": 40, "tenon_length_mm": 30},
        (2400, 2 * 10 * 30 + 16 * 60 - 10 * 40, 0),
        {"+x"},
    ),
    "finger, 9 of 10 mm: 8x12x15; 5x10x12 + 4x10x15": (
        ("finger", section(90, 12), section(90, 15)),
        {"finger_count": 9},
        (8 * 12 * 15, 5 * 10 * 12 + 4 * 10 * 15, 0),
        {"+x", "+y"},
    ),
    "butt end to edge 24 x 60": (
        ("butt", STILE, RAIL),
        {"meeting": "end_to_edge"},
        (0, 1440, 0),
        {"+x", "+y", "-y", "+z", "-z"},
    ),
    "butt edge to edge 24 x 300": (
        ("butt", section(100, 24, 300), section(80, 24, 300)),
        {"meeting": "edge_to_edge"},
        (7200, 0, 0),
        {"+x", "+y", "-y", "+z", "-z"},
    ),
    "butt end to end 40 x 20": (
        ("butt", section(40, 20), section(40, 20)),
        {"meeting": "end_to_end"},
        (0, 0, 800),
        {"+x", "+y", "-y", "+z", "-z"},
    ),
}


@pytest.mark.parametrize("case", WORKED.values(), ids=WORKED)
def test_glue_area_and_free_axes_are_those_worked_by_hand(case):
    (code, a, b), dimensions, (long_long, long_end, end_end), free = case
    study = studied(code, a, b, **dimensions)
    assert study.glue.long_long_mm2 == pytest.approx(long_long, abs=1e-6)
    assert study.glue.long_end_mm2 == pytest.approx(long_end, abs=1e-6)
    assert study.glue.end_end_mm2 == pytest.approx(end_end, abs=1e-6)
    assert study.glue.oblique_mm2 == 0
    assert set(study.holds.free_axes) == free


@pytest.mark.parametrize("case", WORKED.values(), ids=WORKED)
def test_cubes_of_1_mm_count_the_same_areas_and_free_axes(case):
    (code, a, b), dimensions, _, free = case
    study = studied(code, a, b, **dimensions)
    assert_cubes_agree(study)
    assert Voxels(study.geometry).free_axes() == free


def test_edge_joint_is_parallel_grain_and_tenon_cheeks_are_crossed():
    edge = studied("butt", section(90, 24, 300), section(90, 24, 300), meeting="edge_to_edge")
    tenon = studied("mortise-tenon", STILE, RAIL)
    assert edge.glue.long_long_crossed_mm2 == 0 < edge.glue.long_long_parallel_mm2
    assert tenon.glue.long_long_parallel_mm2 == 0 < tenon.glue.long_long_crossed_mm2


even = st.integers(2, 9).map(lambda half: 2 * half)


@given(st.data())
@settings(max_examples=60)
def test_mortise_and_tenon_agrees_with_cubes_at_random_sizes(data):
    stile = section(data.draw(st.integers(8, 40)), data.draw(even))
    rail = section(2 * data.draw(st.integers(4, 20)), data.draw(even))
    thin = int(min(stile.thickness_mm, rail.thickness_mm))
    length = data.draw(st.integers(1, int(stile.width_mm)))
    assert_cubes_agree(
        studied(
            "mortise-tenon",
            stile,
            rail,
            tenon_thickness_mm=2 * data.draw(st.integers(1, thin // 2)),
            tenon_width_mm=2 * data.draw(st.integers(1, int(rail.width_mm) // 2)),
            tenon_length_mm=length,
            clearance_mm=data.draw(st.integers(0, int(stile.width_mm) - length)),
        )
    )


@given(st.data())
@settings(max_examples=60)
def test_haunched_tenon_agrees_with_cubes_at_random_sizes(data):
    stile = section(data.draw(st.integers(8, 40)), data.draw(even))
    rail = section(data.draw(st.integers(6, 40)), data.draw(even))
    thin = int(min(stile.thickness_mm, rail.thickness_mm))
    length = data.draw(st.integers(2, int(stile.width_mm)))
    haunch = data.draw(st.integers(1, int(rail.width_mm) - 2))
    assert_cubes_agree(
        studied(
            "haunched-mortise-tenon",
            stile,
            rail,
            tenon_thickness_mm=2 * data.draw(st.integers(1, thin // 2)),
            tenon_width_mm=data.draw(st.integers(1, int(rail.width_mm) - haunch)),
            tenon_length_mm=length,
            haunch_width_mm=haunch,
            haunch_length_mm=data.draw(st.integers(1, length - 1)),
            clearance_mm=data.draw(st.integers(0, int(stile.width_mm) - length)),
        )
    )


@given(st.data())
@settings(max_examples=60)
def test_housing_agrees_with_cubes_at_random_sizes(data):
    side = section(data.draw(st.integers(10, 60)), data.draw(st.integers(3, 20)))
    shelf = section(data.draw(st.integers(5, int(side.width_mm))), data.draw(st.integers(3, 20)))
    assert_cubes_agree(
        studied(
            "housing",
            side,
            shelf,
            depth_mm=data.draw(st.integers(1, int(side.thickness_mm) - 1)),
            stop_mm=data.draw(st.integers(0, int(shelf.width_mm) - 1)),
        )
    )


LAPS = st.sampled_from(["corner-halving", "t-halving", "cross-halving"])
BRIDLES = st.sampled_from(["corner-bridle", "t-bridle"])


@given(data=st.data(), code=LAPS)
@settings(max_examples=40)
def test_halvings_agree_with_cubes_at_random_sizes(data, code):
    a = section(data.draw(st.integers(5, 30)), data.draw(st.integers(3, 20)))
    b = section(data.draw(st.integers(5, 30)), data.draw(st.integers(3, 20)))
    lap = data.draw(st.integers(1, int(min(a.thickness_mm, b.thickness_mm)) - 1))
    assert_cubes_agree(studied(code, a, b, lap_thickness_mm=lap))


@given(data=st.data(), code=BRIDLES)
@settings(max_examples=40)
def test_bridles_agree_with_cubes_at_random_sizes(data, code):
    a = section(data.draw(st.integers(5, 30)), data.draw(even))
    b = section(data.draw(st.integers(5, 30)), data.draw(even))
    thin = int(min(a.thickness_mm, b.thickness_mm))
    tongue = 2 * data.draw(st.integers(1, max(1, thin // 2 - 1)))
    assume(tongue < thin)
    assert_cubes_agree(studied(code, a, b, tongue_thickness_mm=tongue))


@given(st.data())
@settings(max_examples=40)
def test_bare_faced_tenon_agrees_with_cubes_at_random_sizes(data):
    stile = section(data.draw(st.integers(8, 30)), data.draw(even))
    rail = section(2 * data.draw(st.integers(4, 15)), data.draw(st.integers(3, 20)))
    thin = int(min(stile.thickness_mm, rail.thickness_mm))
    length = data.draw(st.integers(1, int(stile.width_mm)))
    assert_cubes_agree(
        studied(
            "barefaced-tenon",
            stile,
            rail,
            tenon_thickness_mm=2 * data.draw(st.integers(1, thin // 2)),
            tenon_width_mm=2 * data.draw(st.integers(1, int(rail.width_mm) // 2)),
            tenon_length_mm=length,
            clearance_mm=data.draw(st.integers(0, int(stile.width_mm) - length)),
        )
    )


@given(st.data())
@settings(max_examples=40)
def test_fingers_agree_with_cubes_at_random_sizes(data):
    count, step = data.draw(st.integers(2, 9)), data.draw(st.integers(2, 9))
    a = section(count * step, data.draw(st.integers(3, 20)))
    b = section(count * step, data.draw(st.integers(3, 20)))
    assert_cubes_agree(studied("finger", a, b, finger_count=count))


@given(st.data())
@settings(max_examples=40)
def test_rebate_and_overlap_agree_with_cubes_at_random_sizes(data):
    a = section(data.draw(st.integers(5, 40)), data.draw(st.integers(3, 20)))
    b = section(data.draw(st.integers(5, 40)), data.draw(st.integers(3, 20)))
    depth = data.draw(st.integers(1, int(a.thickness_mm) - 1))
    overlap = data.draw(st.integers(1, int(a.width_mm)))
    assert_cubes_agree(studied("rebate", a, b, depth_mm=depth))
    assert_cubes_agree(studied("overlap", a, b, overlap_mm=overlap))


@given(st.data())
@settings(max_examples=40)
def test_tongue_and_groove_agrees_with_cubes_at_random_sizes(data):
    length = data.draw(st.integers(5, 60))
    a = section(data.draw(st.integers(8, 40)), data.draw(even), length)
    b = section(data.draw(st.integers(8, 40)), data.draw(even), length)
    thin = int(min(a.thickness_mm, b.thickness_mm))
    assume(thin > 2)
    assert_cubes_agree(
        studied(
            "tongue-groove",
            a,
            b,
            tongue_thickness_mm=2 * data.draw(st.integers(1, thin // 2 - 1)),
            tongue_length_mm=data.draw(st.integers(1, 5)),
            clearance_mm=data.draw(st.integers(0, 2)),
        )
    )


@given(st.data())
@settings(max_examples=40)
def test_double_tenon_agrees_with_cubes_at_random_sizes(data):
    stile = section(data.draw(st.integers(8, 30)), data.draw(even))
    width = data.draw(st.integers(1, 8))
    gap = 2 * data.draw(st.integers(1, 4))
    rail = section(2 * width + gap + 2 * data.draw(st.integers(0, 4)), data.draw(even))
    thin = int(min(stile.thickness_mm, rail.thickness_mm))
    length = data.draw(st.integers(2, int(stile.width_mm)))
    assert_cubes_agree(
        studied(
            "double-tenon",
            stile,
            rail,
            tenon_thickness_mm=2 * data.draw(st.integers(1, thin // 2)),
            tenon_width_mm=width,
            gap_mm=gap,
            tenon_length_mm=length,
            haunch_length_mm=data.draw(st.integers(0, length - 1)),
            clearance_mm=data.draw(st.integers(0, int(stile.width_mm) - length)),
        )
    )


@given(st.data())
@settings(max_examples=40)
def test_loose_tenon_agrees_with_cubes_at_random_sizes(data):
    stile = section(data.draw(st.integers(8, 30)), data.draw(even.filter(lambda size: size > 4)))
    rail = section(2 * data.draw(st.integers(4, 15)), data.draw(even.filter(lambda size: size > 4)))
    thin = int(min(stile.thickness_mm, rail.thickness_mm))
    depth = data.draw(st.integers(1, int(stile.width_mm)))
    assert_cubes_agree(
        studied(
            "loose-tenon",
            stile,
            rail,
            tenon_thickness_mm=2 * data.draw(st.integers(1, thin // 2 - 1)),
            tenon_width_mm=2 * data.draw(st.integers(1, int(rail.width_mm) // 2 - 1)),
            depth_a_mm=depth,
            depth_b_mm=data.draw(st.integers(1, 40)),
            clearance_mm=data.draw(st.integers(0, int(stile.width_mm) - depth)),
        )
    )


@given(st.data())
@settings(max_examples=40)
def test_tongued_end_agrees_with_cubes_at_random_sizes(data):
    side = section(data.draw(st.integers(10, 60)), data.draw(st.integers(4, 20)))
    board = section(data.draw(st.integers(5, int(side.width_mm))), data.draw(st.integers(4, 20)))
    place = data.draw(st.sampled_from(["middle", "bare-faced"]))
    least = 2 - int(board.thickness_mm) % 2 if place == "middle" else 1
    tongue = data.draw(st.integers(0, (int(board.thickness_mm) - 1 - least) // 2)) * 2 + least
    length = data.draw(st.integers(1, int(side.thickness_mm) - 1))
    assert_cubes_agree(
        studied(
            "tongued-end",
            side,
            board,
            tongue_thickness_mm=tongue,
            tongue_length_mm=length,
            clearance_mm=data.draw(st.integers(0, int(side.thickness_mm) - 1 - length)),
            tongue=place,
        )
    )


def test_area_seen_from_b_is_the_area_seen_from_a():
    for code, a, b in (
        ("mortise-tenon", STILE, RAIL),
        ("dowel", STILE, RAIL),
        ("through-dovetail", section(150, 20), section(150, 20)),
        ("mitre", section(50, 20), section(70, 18)),
    ):
        geometry = studied(code, a, b).geometry
        turned = Geometry(members=geometry.members[::-1])
        there, back = glue_area(contacts(geometry)), glue_area(contacts(turned))
        assert there.total_mm2 == pytest.approx(back.total_mm2)
        assert there.long_end_mm2 == pytest.approx(back.long_end_mm2)


def assert_cubes_agree(study):
    """Areas by pairing, volumes and free axes, all from the grid."""
    cubes = Voxels(study.geometry)
    assert not cubes.members_overlap()
    glue = study.glue
    counted = +Counter(cubes.areas())
    computed = {
        "long_long": glue.long_long_mm2,
        "long_end": glue.long_end_mm2,
        "end_end": glue.end_end_mm2,
    }
    assert {name: round(area, 3) for name, area in computed.items() if area > 1e-6} == dict(counted)
    assert glue.oblique_mm2 == 0
    assert set(study.holds.free_axes) == cubes.free_axes()
    for member in study.geometry.members:
        assert member.volume_mm3 == pytest.approx(cubes.volume(member.key))
        removed = int(cubes.blanks[member.key].sum()) - cubes.volume(member.key)
        assert member.removed_mm3 == pytest.approx(removed, abs=1e-3)
