"""Where a member goes on beyond the drawing, and the break lines that say so."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import hypot

from orders.core.drawing.projection import Spot
from orders.core.drawing.svg import line
from orders.core.solids import Dimension, Geometry, Member, Plane, Solid
from orders.core.vectors import Point, Vector, X, Y, Z, dot, norm, plus, times

ZIGZAG = 4.5
CROP_PER_BREADTH = 1.1
LEAST_CROP = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakEnd:
    """An end of a member, square to its grain, where the wood goes on."""

    member: int
    along: Vector
    reach_mm: float


def break_ends(members: Sequence[Member]) -> tuple[BreakEnd, ...]:
    """The ends that stand clear of every other member: there the piece is drawn cut short."""
    found = []
    for number, member in enumerate(members):
        if member.key not in ("a", "b"):
            continue
        for along in member.goes_on:
            reach = max(solid.extent(along)[1] for solid in member.blank)
            found.append(BreakEnd(member=number, along=along, reach_mm=reach))
        others = [other for other in members if other.key in ("a", "b") and other is not member]
        for along in (member.grain, times(member.grain, -1.0)):
            if dot(along, member.leaves) < -0.5 * norm(member.leaves) and norm(member.leaves):
                continue
            reach = max(solid.extent(along)[1] for solid in member.blank)
            nearest = max(
                (solid.extent(along)[1] for other in others for solid in other.blank), default=reach
            )
            if reach - nearest > 0.25 * _slimness(member) and _is_square(member, along, reach):
                found.append(BreakEnd(member=number, along=along, reach_mm=reach))
    return tuple(found)


@lru_cache(maxsize=512)
def trimmed(geometry: Geometry) -> Geometry:
    """The joint with every end that goes on cut off a little beyond it, so that it fills the sheet.

    An end is moved, never a cut: whatever is worked on a piece stays on it, and a length that was
    measured across the end is measured across the new one.
    """
    geometry = _cropped(geometry)
    for end in break_ends(geometry.members):
        geometry = _shortened(geometry, end)
    return geometry


def _cropped(geometry: Geometry) -> Geometry:
    """Boards that lie side by side, cut off together beyond what is measured along them."""
    a, b = geometry.member("a"), geometry.member("b")
    along = a.grain
    spans = [_span(member, along) for member in (a, b)]
    if dot(along, b.grain) < 0.999 or max(abs(x - y) for x, y in zip(*spans, strict=True)) > 1e-6:
        return geometry
    low, high = spans[0]
    keep = _kept_length(geometry, along, low, _breadth(a) + _breadth(b))
    if keep > low + (high - low) * LEAST_CROP:
        return geometry
    plane = Plane(normal=along, offset=keep)
    return replace(
        geometry,
        members=tuple(_cut_short(member, plane) for member in geometry.members),
        dimensions=tuple(
            replace(one, start=_held(one.start, along, keep), end=_held(one.end, along, keep))
            for one in geometry.dimensions
        ),
    )


def _kept_length(geometry: Geometry, along: Vector, low: float, breadth: float) -> float:
    """How far to draw: what is measured along the boards, and no key cut through."""
    measured = [
        max(ends)
        for one in geometry.dimensions
        if abs((ends := (dot(one.start, along), dot(one.end, along)))[0] - ends[1]) > 1e-6
    ]
    keep = max(low + CROP_PER_BREADTH * breadth, max(measured, default=low) + 0.25 * breadth)
    for member in geometry.members:
        if member.key not in ("a", "b"):
            for near, far in sorted(solid.extent(along) for solid in member.solids):
                if near - (far - near) < keep < far + (far - near):
                    keep = far + (far - near)
    return keep


def _cut_short(member: Member, plane: Plane) -> Member:
    """A member behind a plane; what keys it beyond the plane is left out."""
    if member.key not in ("a", "b"):
        kept = tuple(
            solid for solid in member.solids if solid.extent(plane.normal)[1] < plane.offset
        )
        return replace(member, solids=kept, blank=kept)
    return replace(
        member,
        solids=_behind(member.solids, plane),
        blank=_behind(member.blank, plane),
        unbored=_behind(member.unbored, plane),
        holes=tuple(hole for hole in member.holes if plane.height_of(hole.mouth) < 0),
        goes_on=(plane.normal,),
    )


def _behind(solids: Sequence[Solid], plane: Plane) -> tuple[Solid, ...]:
    return tuple(left for solid in solids if (left := solid.behind(plane)) is not None)


def _span(member: Member, along: Vector) -> tuple[float, float]:
    spans = [solid.extent(along) for solid in member.blank]
    return min(low for low, _ in spans), max(high for _, high in spans)


def _shortened(geometry: Geometry, end: BreakEnd) -> Geometry:
    member, along = geometry.members[end.member], end.along
    others = [other for other in geometry.members if other is not member]
    allowance = max(0.75 * _breadth(member), 0.4 * max(map(_breadth, others), default=0.0))
    features = [dot(corner, along) for corner in _worked(member, end)]
    kept = [solid.extent(along)[1] for other in others for solid in other.solids]
    reach = max(max(kept, default=-1e9) + allowance, max(features, default=-1e9) + 0.5 * allowance)
    if reach >= end.reach_mm - 1e-6 or not _may_move(geometry.dimensions, end, reach):
        return geometry
    cut = replace(
        member,
        solids=tuple(_pushed(solid, end, reach) for solid in member.solids),
        blank=tuple(_pushed(solid, end, reach) for solid in member.blank),
        unbored=tuple(_pushed(solid, end, reach) for solid in member.unbored),
    )
    members = tuple(cut if each is member else each for each in geometry.members)
    dimensions = tuple(
        replace(one, start=_held(one.start, along, reach), end=_held(one.end, along, reach))
        for one in geometry.dimensions
    )
    return replace(geometry, members=members, dimensions=dimensions)


def _worked(member: Member, end: BreakEnd) -> Iterator[Point]:
    """Every corner of a member but those of the end itself."""
    for solid in member.unbored or member.solids:
        for corner in solid.vertices:
            if dot(corner, end.along) < end.reach_mm - 1e-4:
                yield corner
    for hole in member.holes:
        floor = plus(hole.mouth, times(hole.direction, hole.depth_mm))
        aside = times(end.along, hole.diameter_mm / 2)
        yield plus(hole.mouth, aside)
        yield plus(floor, aside)


def _may_move(dimensions: Sequence[Dimension], end: BreakEnd, reach: float) -> bool:
    """Whether no length runs toward or away from the wood that would go."""
    for one in dimensions:
        ends = (dot(one.start, end.along), dot(one.end, end.along))
        if max(ends) > reach + 1e-6 and abs(ends[0] - ends[1]) > 1e-6:
            return False
    return True


def _pushed(solid: Solid, end: BreakEnd, reach: float) -> Solid:
    vertices = tuple(
        plus(corner, times(end.along, reach - end.reach_mm))
        if dot(corner, end.along) > end.reach_mm - 1e-4
        else corner
        for corner in solid.vertices
    )
    return replace(solid, vertices=vertices) if vertices != solid.vertices else solid


def _held(point: Point, along: Vector, reach: float) -> Point:
    over = dot(point, along) - reach
    return plus(point, times(along, -over)) if over > 0 else point


def zigzag(start: Spot, end: Spot, way: Spot) -> str:
    """A break line from start to end whose mark points along `way`."""
    length = hypot(end[0] - start[0], end[1] - start[1])
    size = hypot(*way)
    if length < 5 or size < 1e-6:
        return line(start, end)
    reach = min(ZIGZAG, length / 3.5)
    u, v = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    out_u, out_v = way[0] / size * reach, way[1] / size * reach
    mid_u, mid_v = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    step = reach * 0.45
    return line(
        start,
        (mid_u - u * 2 * step, mid_v - v * 2 * step),
        (mid_u - u * step + out_u, mid_v - v * step + out_v),
        (mid_u + u * step - out_u, mid_v + v * step - out_v),
        (mid_u + u * 2 * step, mid_v + v * 2 * step),
        end,
    )


def _slimness(member: Member) -> float:
    return min(_section(member))


def _breadth(member: Member) -> float:
    return max(_section(member))


def _section(member: Member) -> tuple[float, ...]:
    """Sizes of a member square to its grain."""
    sizes = []
    for axis in (X, Y, Z):
        if abs(dot(axis, member.grain)) < 0.9:
            spans = [solid.extent(axis) for solid in member.blank]
            sizes.append(max(high for _, high in spans) - min(low for low, _ in spans))
    return tuple(sizes)


def _is_square(member: Member, along: Vector, reach: float) -> bool:
    """Whether the member really ends in a plane square to its grain there."""
    return any(
        dot(plane.normal, along) > 1 - 1e-6 and abs(plane.offset - reach) < 1e-6
        for solid in member.blank
        for plane in solid.planes
    )
