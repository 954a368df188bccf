"""The outer surface of a member: which of it is new, and where the cuts show."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from orders.core.contact import LEAST_AREA_MM2, SAME_PLANE_MM, loop_area, loop_without
from orders.core.solids import Member, Plane, Solid
from orders.core.vectors import Point, cross, minus, norm, plus, times, unit

Segment = tuple[Point, Point]


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """All of a member's surface in one plane, as convex loops that do not overlap.

    `is_cut` tells the faces that the joint makes from those of the blank.
    """

    plane: Plane
    loops: tuple[tuple[Point, ...], ...]
    is_cut: bool

    @property
    def area_mm2(self) -> float:
        """Area of the patch."""
        return sum(loop_area(loop) for loop in self.loops)

    @property
    def edges(self) -> tuple[Segment, ...]:
        """The outline of the patch; seams between its loops are left out."""
        return outline(self.loops)


def skin(solids: Sequence[Solid], blank: Sequence[Solid] = ()) -> tuple[Patch, ...]:
    """The surface of a union of disjoint convex solids, one patch for each plane.

    Without a blank every patch counts as cut.
    """
    facets = [
        facet for solid in solids for facet in zip(solid.planes, solid.face_loops, strict=True)
    ]
    groups: dict[tuple[int, ...], list[tuple[Plane, tuple[Point, ...]]]] = {}
    for plane, loop in facets:
        groups.setdefault(_plane_key(plane), []).append((plane, loop))
    blank_keys = {_plane_key(plane) for solid in blank for plane in solid.planes}
    patches = []
    for key, group in groups.items():
        against = groups.get(_plane_key(group[0][0].turned()), [])
        loops = [loop for _, loop in group]
        for _, other in against:
            loops = [piece for loop in loops for piece in loop_without(loop, other[::-1])]
        loops = [loop for loop in loops if loop_area(loop) > LEAST_AREA_MM2]
        if loops:
            patches.append(
                Patch(plane=group[0][0], loops=tuple(loops), is_cut=key not in blank_keys)
            )
    return tuple(patches)


@lru_cache(maxsize=1024)
def member_skin(member: Member) -> tuple[Patch, ...]:
    """The surface of a member as it stands before boring."""
    return skin(member.unbored or member.solids, member.blank)


def lines_on_surface(patch: Patch, blank: Sequence[Solid]) -> tuple[Segment, ...]:
    """The parts of a cut's outline that lie on the surface of the blank: where it is marked."""
    return tuple(
        edge
        for edge in patch.edges
        if any(
            _lies_on(edge, plane)
            for solid in blank
            for plane in solid.planes
            if _plane_key(plane) != _plane_key(patch.plane)
        )
    )


def sawn_lines(lines: Sequence[Segment]) -> tuple[Segment, ...]:
    """Of a cut's lines on the surface, those that a saw can follow.

    A saw needs to run out: the cut must reach two neighbouring faces of the blank. A cut that shows
    on one face only, or on two opposite ones, is chopped or routed.
    """
    sawn: list[Segment] = []
    for run in _runs(lines):
        directions = [unit(minus(end, start)) for start, end in run]
        if any(norm(cross(directions[0], other)) > 1e-6 for other in directions[1:]):
            sawn.extend(run)
    return tuple(sawn)


def total_length(lines: Iterable[Segment]) -> float:
    """Length of some segments together."""
    return sum(norm(minus(end, start)) for start, end in lines)


def outline(loops: Sequence[tuple[Point, ...]]) -> tuple[Segment, ...]:
    """The edges of coplanar loops that no neighbour shares."""
    if len(loops) == 1:
        return tuple(zip(loops[0], loops[0][1:] + loops[0][:1], strict=True))
    edges = [edge for loop in loops for edge in zip(loop, loop[1:] + loop[:1], strict=True)]
    return tuple(
        piece
        for start, end in edges
        if norm(minus(end, start)) > SAME_PLANE_MM
        for piece in _unshared(start, end, edges)
    )


def _unshared(start: Point, end: Point, edges: Sequence[Segment]) -> list[Segment]:
    """What is left of an edge where edges running the other way on it are taken out."""
    length = norm(minus(end, start))
    along = unit(minus(end, start))
    spans = [(0.0, length)]
    for near, far in _reaches(start, along, edges):
        spans = [
            piece
            for low, high in spans
            for piece in ((low, min(high, near)), (max(low, far), high))
            if piece[1] - piece[0] > SAME_PLANE_MM
        ]
    return [
        (plus(start, times(along, low)), plus(start, times(along, high))) for low, high in spans
    ]


def _reaches(start: Point, along: Point, edges: Sequence[Segment]) -> Iterator[tuple[float, float]]:
    """How far along a line the edges that lie on it and run the other way begin and end."""
    x, y, z = start
    u, v, w = along
    limit = SAME_PLANE_MM * SAME_PLANE_MM
    for (ax, ay, az), (bx, by, bz) in edges:
        ax, ay, az = ax - x, ay - y, az - z
        far = ax * u + ay * v + az * w
        if ax * ax + ay * ay + az * az - far * far >= limit:
            continue
        bx, by, bz = bx - x, by - y, bz - z
        near = bx * u + by * v + bz * w
        if near < far and bx * bx + by * by + bz * bz - near * near < limit:
            yield near, far


def _runs(lines: Sequence[Segment]) -> list[list[Segment]]:
    """Segments gathered into runs that share end points."""
    runs: list[tuple[set[tuple[int, ...]], list[Segment]]] = []
    for line in lines:
        ends = {_point_key(line[0]), _point_key(line[1])}
        touching = [run for run in runs if run[0] & ends]
        merged = ({*ends}.union(*(run[0] for run in touching)), [line])
        for run in touching:
            merged[1].extend(run[1])
        runs = [run for run in runs if run not in touching]
        runs.append(merged)
    return [run[1] for run in runs]


def _lies_on(edge: Segment, plane: Plane) -> bool:
    return all(abs(plane.height_of(point)) < SAME_PLANE_MM for point in edge)


def _plane_key(plane: Plane) -> tuple[int, ...]:
    return (
        *(round(part * 1e5) for part in plane.normal),
        round(plane.offset * 1e3),
    )


def _point_key(point: Point) -> tuple[int, ...]:
    return tuple(round(part * 1e3) for part in point)
