"""Where the members of a joint touch, and what their grain makes of it as a glue face."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations
from math import asin, cos, degrees, floor, radians, sin

from orders.core.solids import NEAR_MM, Geometry, Member, Plane, Solid, box_around, boxes_meet
from orders.core.vectors import Point, Vector, area_vector, cross, dot, minus, norm, unit

SLOPE_THAT_COUNTS_AS_STRAIGHT = 15.0
SAME_PLANE_MM = 1e-4
LEAST_AREA_MM2 = 1e-4

Facet = tuple[Solid, tuple[Point, Point], Plane, tuple[Point, ...]]


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
        ends = sum(abs(dot(normal, grain)) > cos(radians(45)) for grain in (first, second))
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
    if abs(dot(first, second)) > cos(radians(SLOPE_THAT_COUNTS_AS_STRAIGHT)):
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
    if loop_area(clipped_loop(loop, tool)) < LEAST_AREA_MM2:
        return [loop]
    pieces = []
    for fence in fences(tool):
        outside = behind(loop, fence.turned())
        if loop_area(outside) > LEAST_AREA_MM2:
            pieces.append(outside)
        loop = behind(loop, fence)
    return pieces


def fences(loop: tuple[Point, ...]) -> Iterator[Plane]:
    """The planes through a loop's edges, square to it, facing outward."""
    facing = area_vector(loop)
    for start, end in zip(loop, loop[1:] + loop[:1], strict=True):
        outward = unit(cross(minus(end, start), facing))
        yield Plane(normal=outward, offset=dot(outward, start))


def behind(loop: tuple[Point, ...], plane: Plane) -> tuple[Point, ...]:
    """The part of a convex loop behind a plane."""
    kept: list[Point] = []
    heights = [plane.height_of(corner) for corner in loop]
    for index, corner in enumerate(loop):
        here, there = heights[index], heights[(index + 1) % len(loop)]
        if here <= NEAR_MM:
            kept.append(corner)
        if (here < -NEAR_MM and there > NEAR_MM) or (here > NEAR_MM and there < -NEAR_MM):
            following = loop[(index + 1) % len(loop)]
            share = here / (here - there)
            kept.append(
                (
                    corner[0] + (following[0] - corner[0]) * share,
                    corner[1] + (following[1] - corner[1]) * share,
                    corner[2] + (following[2] - corner[2]) * share,
                )
            )
    return tuple(kept)


def loop_area(loop: tuple[Point, ...]) -> float:
    """Area of a flat loop, 0 if it has fewer than three corners."""
    return norm(area_vector(loop)) if len(loop) >= 3 else 0.0


def _between(first: Member, second: Member) -> Iterator[Contact]:
    facets = _facets_by_plane(second)
    for mine in first.solids:
        for plane, loop in zip(mine.planes, mine.face_loops, strict=True):
            bounds = box_around(loop)
            for theirs, other_bounds, other_plane, other_loop in _facing(plane, facets):
                if (
                    abs(plane.offset + other_plane.offset) < SAME_PLANE_MM
                    and dot(plane.normal, other_plane.normal) < -1 + 1e-9
                    and boxes_meet(bounds, other_bounds)
                ):
                    outline = clipped_loop(loop, other_loop)
                    area = loop_area(outline)
                    if area > LEAST_AREA_MM2:
                        yield _contact(first, mine, second, theirs, plane, outline, area)


def _facets_by_plane(member: Member) -> dict[tuple[int, ...], list[Facet]]:
    """Every face of a member, filed under its plane rounded to a coarse grid."""
    filed: dict[tuple[int, ...], list[Facet]] = {}
    for solid in member.solids:
        for plane, loop in zip(solid.planes, solid.face_loops, strict=True):
            key = _coarse(plane.normal, floor(plane.offset))
            filed.setdefault(key, []).append((solid, box_around(loop), plane, loop))
    return filed


def _facing(plane: Plane, filed: dict[tuple[int, ...], list[Facet]]) -> Iterator[Facet]:
    """Faces that may lie in a plane, looking the other way."""
    other = plane.turned()
    cells = {floor(other.offset - SAME_PLANE_MM), floor(other.offset + SAME_PLANE_MM)}
    for cell in cells:
        yield from filed.get(_coarse(other.normal, cell), ())


def _coarse(normal: Vector, cell: int) -> tuple[int, ...]:
    return (*(round(part * 1e5) for part in normal), cell)


def _contact(
    first: Member,
    mine: Solid,
    second: Member,
    theirs: Solid,
    plane: Plane,
    outline: tuple[Point, ...],
    area: float,
) -> Contact:
    normal = plane.normal
    factor = min(mine.round_factor(normal), theirs.round_factor(normal))
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
    if lean <= sin(radians(SLOPE_THAT_COUNTS_AS_STRAIGHT)) + 1e-9:
        return 0
    if lean >= cos(radians(SLOPE_THAT_COUNTS_AS_STRAIGHT)) - 1e-9:
        return 1
    return None


def _leans(normal: Vector, grain: Vector) -> bool:
    lean = abs(dot(normal, grain))
    return 1e-6 < lean < 1 - 1e-9


def _grain_degree(normal: Vector, grain: Vector) -> float:
    return degrees(asin(min(1.0, abs(dot(normal, grain)))))
