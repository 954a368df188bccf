"""Visibility against a brute-force oracle: rays through the solids themselves."""

import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orders.core.drawing.explode import moves_of
from orders.core.drawing.flat import box_of, fences_of, inside
from orders.core.drawing.lines import drawn, edges_of
from orders.core.drawing.projection import ISOMETRIC, VIEWS
from orders.core.drawing.scene import Surface, member_sides, scene_of
from orders.core.solids import View
from orders.core.vectors import dot, minus, norm, plus, times, unit
from tests.orders.core.drawing.joints_to_draw import TYPES, example_of, geometries

BY_CODE = {kind.code: kind for kind in TYPES}
STILL = (0.0, 0.0, 0.0)


def scene_apart(geometry, camera=ISOMETRIC):
    return scene_of(camera, geometry.members, moves_of(geometry, 20.0, camera))


def solids_of(scene):
    for number, member in enumerate(scene.members):
        for solid in member.unbored or member.solids:
            yield number, solid.moved(scene.moves[number])


def span_in(solid, start, way):
    """Where a line enters and leaves a solid."""
    low, high = -1e9, 1e9
    for plane in solid.planes:
        speed, room = dot(plane.normal, way), -plane.height_of(start)
        if abs(speed) < 1e-12:
            if room < 0:
                return None
        elif speed > 0:
            high = min(high, room / speed)
        else:
            low = max(low, room / speed)
    return (low, high) if high > low + 1e-9 else None


def first_met(scene, point):
    """The member that the eye meets on the line of sight through a point, and how near."""
    way, found = unit(scene.camera.sight), None
    for number, solid in solids_of(scene):
        span = span_in(solid, point, way)
        if span and (found is None or span[1] > found[1]):
            found = (number, span[1])
    return found


def point_over(camera, spot):
    """Some point in space that falls on a spot of the sheet."""
    a, d = camera.across, camera.down
    aa, dd, ad = dot(a, a), dot(d, d), dot(a, d)
    size = aa * dd - ad * ad
    u, v = spot[0] / camera.scale, spot[1] / camera.scale
    return plus(times(a, (u * dd - v * ad) / size), times(d, (v * aa - u * ad) / size))


def check_pieces(scene, seed):
    """At random spots exactly the piece of the nearest surface is left, and only one."""
    chance = random.Random(seed)
    boxes = [panel.box for panel in scene.panels]
    left, right = min(box[0] for box in boxes), max(box[2] for box in boxes)
    top, foot = min(box[1] for box in boxes), max(box[3] for box in boxes)
    fenced = [(panel, fences_of(piece)) for panel in scene.panels for piece in panel.pieces]
    for _ in range(60):
        spot = (chance.uniform(left, right), chance.uniform(top, foot))
        near_an_edge = any(
            abs(a * spot[0] + b * spot[1] - c) < 0.05
            for panel in scene.panels
            for a, b, c in panel.fences
        )
        if near_an_edge:
            continue
        hits = [panel for panel, fences in fenced if inside(spot, fences)]
        met = first_met(scene, point_over(scene.camera, spot))
        assert len(hits) == (0 if met is None else 1)
        if met is not None:
            assert hits[0].member == met[0]


@pytest.mark.parametrize("kind", TYPES, ids=lambda kind: kind.code)
def test_the_eye_meets_the_nearest_surface_of_every_type(kind):
    geometry = example_of(kind)

    check_pieces(scene_apart(geometry), 1)
    for which in View:
        still = (STILL,) * len(geometry.members)
        if all(not member.holes for member in geometry.members):
            check_pieces(scene_of(VIEWS[which], geometry.members, still), 2)


@given(geometry=geometries(), seed=st.integers(0, 10_000))
@settings(max_examples=60, suppress_health_check=list(HealthCheck))
def test_the_eye_meets_the_nearest_surface_at_any_size(geometry, seed):
    check_pieces(scene_apart(geometry), seed)


def hides(scene, point):
    """Whether some solid stands clearly between a point and the eye."""
    sight = unit(scene.camera.sight)
    return any(
        (span := span_in(solid, point, sight)) and span[1] > 0.15 for _, solid in solids_of(scene)
    )


def lies_on(spot, strokes):
    """Whether a spot lies within the boxes of some strokes of its own edge."""
    return any(
        min(one[axis], two[axis]) - 1e-3 <= spot[axis] <= max(one[axis], two[axis]) + 1e-3
        for one, two in strokes
        for axis in [0 if abs(two[0] - one[0]) > abs(two[1] - one[1]) else 1]
    )


@given(geometry=geometries(), seed=st.integers(0, 10_000))
@settings(max_examples=60, suppress_health_check=list(HealthCheck))
def test_an_edge_is_drawn_just_where_no_wood_stands_before_it(geometry, seed):
    scene = scene_apart(geometry)
    chance = random.Random(seed)
    across, down = unit(scene.camera.across), unit(scene.camera.down)
    for edge in edges_of(scene):
        strokes = drawn(scene, edge)
        # Behind the thin end of a wedge less wood stands than the rays can tell from none.
        margin = 0.3 / norm(minus(edge.end, edge.start))
        if margin > 0.4:
            continue
        for _ in range(3):
            share = chance.uniform(margin, 1 - margin)
            point = plus(edge.start, times(minus(edge.end, edge.start), share))
            around = [
                hides(scene, plus(point, times(axis, aside)))
                for axis in (across, down)
                for aside in (0.02, -0.02)
            ]
            is_drawn = lies_on(scene.camera.spot(point), strokes.outline + strokes.crease)
            if all(around):
                assert not is_drawn
            elif edge.may_show and not any(around):
                assert is_drawn


def test_the_walls_and_the_floor_of_a_mortise_are_a_recess_and_the_tenon_is_not():
    geometry = example_of(BY_CODE["mortise-tenon"])

    stile = [surface for _, surface, _ in member_sides(geometry.member("a"))]
    rail = [surface for _, surface, _ in member_sides(geometry.member("b"))]

    assert stile.count(Surface.WALL) == 4
    assert stile.count(Surface.FLOOR) == 1
    assert set(rail) == {Surface.LONG, Surface.END}


def test_faces_of_one_member_in_one_plane_are_one_side():
    geometry = example_of(BY_CODE["corner-halving"])

    sides = [patch for patch, _, _ in member_sides(geometry.member("b"))]

    assert len(sides) == 8
    assert len({(patch.plane.normal, round(patch.plane.offset, 4)) for patch in sides}) == 8


def test_parts_drawn_apart_no_longer_touch():
    for kind in TYPES:
        geometry = example_of(kind)
        moves = moves_of(geometry, 10.0, ISOMETRIC)
        for place, one in enumerate(geometry.members):
            for other_place in range(place + 1, len(geometry.members)):
                other = geometry.members[other_place]
                assert not any(
                    mine.moved(moves[place]).within(theirs.moved(moves[other_place]))
                    for mine in one.unbored or one.solids
                    for theirs in other.unbored or other.solids
                ), kind.code


def test_the_silhouette_of_the_sheet_holds_every_piece():
    scene = scene_apart(example_of(BY_CODE["mortise-tenon"]))
    left, top, right, foot = box_of(spot for panel in scene.panels for spot in panel.loop)

    for panel in scene.panels:
        for piece in panel.pieces:
            for u, v in piece:
                assert left - 1e-6 <= u <= right + 1e-6
                assert top - 1e-6 <= v <= foot + 1e-6
