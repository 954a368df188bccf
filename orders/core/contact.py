"""Where the members of a joint touch, and what their grain makes of it as a glue face."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations
from math import asin, cos, degrees, floor, hypot, radians, sin

from orders.core.solids import NEAR_MM, Geometry, Member, Plane, Solid, box_around, boxes_meet
from orders.core.vectors import Point, Vector, area_vector, dot, norm

SLOPE_THAT_COUNTS_AS_STRAIGHT = 15.0
MOST_LEAN_OF_LONG_GRAIN = sin(radians(SLOPE_THAT_COUNTS_AS_STRAIGHT))
LEAST_LEAN_OF_END_GRAIN = cos(radians(SLOPE_THAT_COUNTS_AS_STRAIGHT))
HALF_OF_A_ROUND = cos(radians(45))
SAME_PLANE_MM = 1e-4
LEAST_AREA_MM2 = 1e-4

Box = tuple[Point, Point]


class Pairing(StrEnum):
    """What meets what in a glue face."""

    LONG_LONG_PARALLEL = "long_long_parallel"
    LONG_LONG_CROSSED = "long_long_crossed"
    LONG_END = "long_end"
    END_END = "end_end"
    OBLIQUE = "oblique"


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """One flat face that two members share.

    `normal` points out of member `from_key` into member `to_key`. The two angles are those between
    the face and each member's grain: 0 is long grain, 90 is end grain.
    """

    from_key: str
    to_key: str
    outline: tuple[Point, ...]
    normal: Vector
    area_mm2: float
    pairing: Pairing
    from_degree: float
    to_degree: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueArea:
    """Contact area by grain pairing, in mm2: five figures that are never added into a strength."""

    long_long_parallel_mm2: float = 0.0
    long_long_crossed_mm2: float = 0.0
    long_end_mm2: float = 0.0
    end_end_mm2: float = 0.0
    oblique_mm2: float = 0.0

    @property
    def long_long_mm2(self) -> float:
        """Long grain to long grain, parallel or crossed."""
        return self.long_long_parallel_mm2 + self.long_long_crossed_mm2

    @property
    def total_mm2(self) -> float:
        """Everything that is spread with glue."""
        return self.long_long_mm2 + self.long_end_mm2 + self.end_end_mm2 + self.oblique_mm2


def contacts(geometry: Geometry) -> tuple[Contact, ...]:
    """Every face that two members share, exactly, by clipping one face with the other."""
    return tuple(
        contact
        for first, second in combinations(geometry.members, 2)
        for contact in _between(first, second)
    )


def glue_area(faces: Iterable[Contact]) -> GlueArea:
    """The area of some contact faces, by grain pairing."""
    sums = dict.fromkeys(Pairing, 0.0)
    for face in faces:
        sums[face.pairing] += face.area_mm2
    return GlueArea(**{f"{pairing.value}_mm2": area for pairing, area in sums.items()})


def pairing_of(normal: Vector, first: Vector, second: Vector, *, is_round: bool) -> Pairing:
    """What a face is to two grains.

    A face within 15 degrees of long or end grain counts as such, which takes in the cheeks of
    every usual dovetail; where both grains lean alike from the same kind, as in a mitre or a scarf,
    the face is oblique. A round face is split by the 45-degree rule: half of a rod's wall that lies
    across the grain of its hole meets long grain, half end grain.
    Source: common practice, no source.
    """
    if is_round:
        ends = sum(abs(dot(normal, grain)) > HALF_OF_A_ROUND for grain in (first, second))
    else:
        kinds = [_kind(normal, grain) for grain in (first, second)]
        if None in kinds:
            return Pairing.OBLIQUE
        leaning = all(_leans(normal, grain) for grain in (first, second))
        if leaning and kinds[0] == kinds[1]:
            return Pairing.OBLIQUE
        ends = sum(kind or 0 for kind in kinds)
    if ends == 2:
        return Pairing.END_END
    if ends == 1:
        return Pairing.LONG_END
    if abs(dot(first, second)) > LEAST_LEAN_OF_END_GRAIN:
        return Pairing.LONG_LONG_PARALLEL
    return Pairing.LONG_LONG_CROSSED


def clipped_loop(loop: tuple[Point, ...], by: tuple[Point, ...]) -> tuple[Point, ...]:
    """The part of a convex loop inside another convex loop of the same plane."""
    for fence in fences(by):
        loop = behind(loop, fence)
        if len(loop) < 3:
            return ()
    return loop


def loop_without(loop: tuple[Point, ...], tool: tuple[Point, ...]) -> list[tuple[Point, ...]]:
    """What is left of a convex loop, in convex loops, outside another of the same plane."""
    around = fences(tool)
    inner = loop
    for fence in around:
        inner = behind(inner, fence)
        if len(inner) < 3:
            return [loop]
    if loop_area(inner) < LEAST_AREA_MM2:
        return [loop]
    pieces = []
    for fence in around:
        outside = behind(loop, fence.turned())
        if len(outside) >= 3 and loop_area(outside) > LEAST_AREA_MM2:
            pieces.append(outside)
        loop = behind(loop, fence)
    return pieces


@dataclass(frozen=True, slots=True)
class Fence:
    """A plane through one edge of a loop, seen along the axis that the loop faces most.

    A corner's coordinates `u` and `v` are behind it where `across` u + `up` v <= `offset`.
    """

    u: int
    v: int
    across: float
    up: float
    offset: float

    def turned(self) -> "Fence":
        """The same plane seen from its other side."""
        return Fence(self.u, self.v, -self.across, -self.up, -self.offset)


def fences(loop: tuple[Point, ...]) -> list[Fence]:
    """The planes through a loop's edges, facing outward."""
    facing = area_vector(loop)
    sizes = [abs(part) for part in facing]
    most = sizes.index(max(sizes))
    u, v = (most + 1) % 3, (most + 2) % 3
    sign = 1.0 if facing[most] > 0 else -1.0
    found = []
    before = loop[-1]
    for here in loop:
        across, up = sign * (here[v] - before[v]), sign * (before[u] - here[u])
        length = hypot(across, up)
        if length > 0:
            across, up = across / length, up / length
            found.append(Fence(u, v, across, up, across * here[u] + up * here[v]))
        before = here
    return found


def behind(loop: tuple[Point, ...], fence: Fence) -> tuple[Point, ...]:
    """The part of a convex loop behind a fence."""
    u, v, across, up, offset = fence.u, fence.v, fence.across, fence.up, fence.offset
    heights = [across * corner[u] + up * corner[v] - offset for corner in loop]
    if max(heights) <= NEAR_MM:
        return loop
    kept: list[Point] = []
    there, last = heights[-1], loop[-1]
    for here, corner in zip(heights, loop, strict=True):
        if (here > NEAR_MM and there < -NEAR_MM) or (here < -NEAR_MM and there > NEAR_MM):
            share = here / (here - there)
            kept.append(
                (
                    corner[0] + (last[0] - corner[0]) * share,
                    corner[1] + (last[1] - corner[1]) * share,
                    corner[2] + (last[2] - corner[2]) * share,
                )
            )
        if here <= NEAR_MM:
            kept.append(corner)
        there, last = here, corner
    return tuple(kept)


def loop_area(loop: tuple[Point, ...]) -> float:
    """Area of a flat loop, 0 if it has fewer than three corners."""
    return norm(area_vector(loop)) if len(loop) >= 3 else 0.0


@dataclass(slots=True)
class Facet:
    """One face of a solid, with the box around it; its fences are found when first needed."""

    solid: Solid
    plane: Plane
    loop: tuple[Point, ...]
    box: Box
    around: list[Fence] | None = None

    def clip(self, loop: tuple[Point, ...]) -> tuple[Point, ...]:
        """The part of another loop of its plane inside it."""
        if self.around is None:
            self.around = fences(self.loop)
        for fence in self.around:
            loop = behind(loop, fence)
            if len(loop) < 3:
                return ()
        return loop


def _between(first: Member, second: Member) -> Iterator[Contact]:
    theirs = _by_plane(_facets(second, _whole(first)))
    for mine in _facets(first, _whole(second)):
        for other in _facing(mine.plane, theirs):
            if (
                abs(mine.plane.offset + other.plane.offset) < SAME_PLANE_MM
                and boxes_meet(mine.box, other.box)
                and dot(mine.plane.normal, other.plane.normal) < -1 + 1e-9
            ):
                outline = other.clip(mine.loop)
                area = loop_area(outline)
                if area > LEAST_AREA_MM2:
                    yield _contact(first, second, mine, other, outline, area)


def _whole(member: Member) -> Box:
    """The box around all of a member."""
    return box_around([corner for solid in member.solids for corner in solid.bounds])


def _facets(member: Member, near: Box) -> Iterator[Facet]:
    """The faces of a member that may reach into a box."""
    for solid in member.solids:
        if not boxes_meet(solid.bounds, near):
            continue
        for number, loop in enumerate(solid.face_loops):
            box = box_around(loop)
            if boxes_meet(box, near):
                yield Facet(solid, solid.plane(number), loop, box)


def _by_plane(facets: Iterable[Facet]) -> dict[tuple[int, ...], list[Facet]]:
    """Faces filed under their plane rounded to a coarse grid."""
    filed: dict[tuple[int, ...], list[Facet]] = {}
    for facet in facets:
        x, y, z = facet.plane.normal
        key = (round(x * 1e5), round(y * 1e5), round(z * 1e5), floor(facet.plane.offset))
        filed.setdefault(key, []).append(facet)
    return filed


def _facing(plane: Plane, filed: dict[tuple[int, ...], list[Facet]]) -> Iterator[Facet]:
    """Faces that may lie in a plane, looking the other way."""
    x, y, z = plane.normal
    way = (-round(x * 1e5), -round(y * 1e5), -round(z * 1e5))
    low, high = floor(-plane.offset - SAME_PLANE_MM), floor(-plane.offset + SAME_PLANE_MM)
    yield from filed.get((*way, low), ())
    if high != low:
        yield from filed.get((*way, high), ())


def _contact(
    first: Member,
    second: Member,
    mine: Facet,
    theirs: Facet,
    outline: tuple[Point, ...],
    area: float,
) -> Contact:
    normal = mine.plane.normal
    factor = min(mine.solid.round_factor(normal), theirs.solid.round_factor(normal))
    return Contact(
        from_key=first.key,
        to_key=second.key,
        outline=outline,
        normal=normal,
        area_mm2=area * factor,
        pairing=pairing_of(normal, first.grain, second.grain, is_round=factor < 1.0),
        from_degree=_grain_degree(normal, first.grain),
        to_degree=_grain_degree(normal, second.grain),
    )


def _kind(normal: Vector, grain: Vector) -> int | None:
    """0 for long grain, 1 for end grain, nothing for a slope between."""
    lean = abs(dot(normal, grain))
    if lean <= MOST_LEAN_OF_LONG_GRAIN + 1e-9:
        return 0
    if lean >= LEAST_LEAN_OF_END_GRAIN - 1e-9:
        return 1
    return None


def _leans(normal: Vector, grain: Vector) -> bool:
    lean = abs(dot(normal, grain))
    return 1e-6 < lean < 1 - 1e-9


def _grain_degree(normal: Vector, grain: Vector) -> float:
    return degrees(asin(min(1.0, abs(dot(normal, grain)))))
