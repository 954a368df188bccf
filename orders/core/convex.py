"""Convex solids: made, cut with planes and with one another, measured. Lengths are mm."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import atan2, cos, pi, sin, sqrt

from orders.core.vectors import (
    Point,
    Vector,
    area_vector,
    dot,
    middle,
    minus,
    plus,
    square_to,
    times,
    unit,
)

Span = tuple[float, float]

ROUND_SIDES = 16
ROUND_FACTOR = sqrt(pi / (ROUND_SIDES * sin(pi / ROUND_SIDES) / cos(pi / ROUND_SIDES)))
SLEEVE_PER_RADIUS = 1.1
NEAR_MM = 1e-6
TOUCH_MM = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """All points p with normal . p = offset; the normal is of length one."""

    normal: Vector
    offset: float

    def height_of(self, point: Point) -> float:
        """Distance of a point in front of the plane, negative behind it."""
        return dot(self.normal, point) - self.offset

    def turned(self) -> "Plane":
        """The same plane seen from its other side."""
        return Plane(normal=times(self.normal, -1.0), offset=-self.offset)


@dataclass(frozen=True, kw_only=True)
class Solid:
    """A convex solid; each face is a loop of corners, counter-clockwise seen from outside.

    What follows from its corners is computed once, when it is first asked for.

    A round solid is a regular prism of the same cross-section area as its circle, so that volumes
    are exact; its lateral faces carry a factor that makes their area exact as well.
    """

    vertices: tuple[Point, ...]
    faces: tuple[tuple[int, ...], ...]
    round_diameter_mm: float | None = None
    round_axis: Vector | None = None

    @classmethod
    def box(cls, origin: Point, size: Vector) -> "Solid":
        """A rectangular block from its least corner and its three sizes."""
        x, y, z = origin
        profile = (
            (x, y, z),
            (x + size[0], y, z),
            (x + size[0], y + size[1], z),
            (x, y + size[1], z),
        )
        return cls.prism(profile, (0.0, 0.0, size[2]))

    @classmethod
    def block(cls, x: Span, y: Span, z: Span) -> "Solid":
        """A rectangular block from its spans along the three axes."""
        return cls.box((x[0], y[0], z[0]), (x[1] - x[0], y[1] - y[0], z[1] - z[0]))

    @classmethod
    def prism(cls, profile: Sequence[Point], along: Vector) -> "Solid":
        """A flat convex outline, given by its corners in order, extruded along a vector."""
        corners = tuple(profile)
        if dot(area_vector(corners), along) < 0:
            corners = corners[::-1]
        count = len(corners)
        near = tuple(range(count))[::-1]
        far = tuple(range(count, 2 * count))
        sides = tuple(
            (index, (index + 1) % count, count + (index + 1) % count, count + index)
            for index in range(count)
        )
        return cls(
            vertices=corners + tuple(plus(corner, along) for corner in corners),
            faces=(near, far, *sides),
        )

    @classmethod
    def cylinder(cls, start: Point, end: Point, diameter: float) -> "Solid":
        """A round rod between the centres of its two ends."""
        axis = unit(minus(end, start))
        across, up = square_to(axis)
        reach = diameter / 2 * sqrt(2 * pi / (ROUND_SIDES * sin(2 * pi / ROUND_SIDES)))
        profile = tuple(
            plus(
                start,
                plus(
                    times(across, reach * cos(2 * pi * step / ROUND_SIDES)),
                    times(up, reach * sin(2 * pi * step / ROUND_SIDES)),
                ),
            )
            for step in range(ROUND_SIDES)
        )
        prism = cls.prism(profile, minus(end, start))
        return cls(
            vertices=prism.vertices,
            faces=prism.faces,
            round_diameter_mm=diameter,
            round_axis=axis,
        )

    @classmethod
    def sleeve(cls, start: Point, end: Point, diameter: float) -> "Solid":
        """A square block that just takes in a rod of that diameter."""
        axis = unit(minus(end, start))
        across, up = square_to(axis)
        half = diameter / 2 * SLEEVE_PER_RADIUS
        profile = tuple(
            plus(start, plus(times(across, half * right), times(up, half * high)))
            for right, high in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        )
        return cls.prism(profile, minus(end, start))

    @property
    def volume_mm3(self) -> float:
        """Volume, by the divergence theorem over the faces."""
        inside = middle(self.vertices)
        return sum(dot(area_vector(loop), minus(loop[0], inside)) / 3 for loop in self.face_loops)

    @cached_property
    def face_loops(self) -> tuple[tuple[Point, ...], ...]:
        """The corners of every face, in the order of `faces`."""
        return tuple(tuple(self.vertices[index] for index in face) for face in self.faces)

    @cached_property
    def planes(self) -> tuple[Plane, ...]:
        """The plane of every face, its normal pointing out of the solid."""
        return tuple(plane_of(loop) for loop in self.face_loops)

    def plane(self, number: int) -> Plane:
        """The plane of one face; the others are left alone unless they are known."""
        if "planes" in self.__dict__:
            return self.planes[number]
        return plane_of(self.face_loops[number])

    @cached_property
    def face_normals(self) -> tuple[Vector, ...]:
        """The outward normal of every face."""
        return tuple(plane.normal for plane in self.planes)

    def round_factor(self, normal: Vector) -> float:
        """What a flat area with this normal is multiplied by to be exact on a round solid."""
        if self.round_axis is None or abs(dot(normal, self.round_axis)) > 0.5:
            return 1.0
        return ROUND_FACTOR

    def run_mm(self, start: Point, along: Vector) -> float:
        """How far a point inside can go along a unit vector before it comes out."""
        rooms = (
            -plane.height_of(start) / dot(plane.normal, along)
            for plane in self.planes
            if dot(plane.normal, along) > NEAR_MM
        )
        return min(rooms, default=0.0)

    def moved(self, by: Vector) -> "Solid":
        """The same solid somewhere else."""
        return self._with(tuple(plus(corner, by) for corner in self.vertices), self.faces)

    def scaled(self, factor: float) -> "Solid":
        """The same shape, larger or smaller about the origin."""
        larger = self._with(tuple(times(corner, factor) for corner in self.vertices), self.faces)
        if self.round_diameter_mm is None:
            return larger
        return Solid(
            vertices=larger.vertices,
            faces=larger.faces,
            round_diameter_mm=self.round_diameter_mm * factor,
            round_axis=self.round_axis,
        )

    def behind(self, plane: Plane) -> "Solid | None":
        """The part of the solid behind a plane, or nothing; it keeps the planes of its faces."""
        (across, up, out), offset = plane.normal, plane.offset
        heights = [across * x + up * y + out * z - offset for x, y, z in self.vertices]
        if max(heights) <= NEAR_MM:
            return self
        if min(heights) >= -NEAR_MM:
            return None
        clip = _Clip(self.vertices, heights)
        faces = []
        planes = []
        for face, of_face in zip(self.faces, self.planes, strict=True):
            kept = clip.face(face)
            if len(kept) >= 3:
                faces.append(kept)
                planes.append(of_face)
        lid = clip.lid(plane.normal)
        if len(lid) >= 3:
            faces.append(lid)
            planes.append(plane)
        if len(faces) < 4:
            return None
        left = self._with(tuple(clip.points), tuple(faces))
        left.__dict__["planes"] = tuple(planes)
        return left

    def within(self, other: "Solid") -> "Solid | None":
        """The part of the solid that lies inside another, or nothing."""
        inner: Solid | None = self
        for plane in other.planes:
            if inner is None:
                return None
            inner = inner.behind(plane)
        return inner

    def without(self, tool: "Solid") -> "tuple[Solid, ...]":
        """What is left, in convex pieces, after another solid is cut away."""
        if not self.bounds_meet(tool):
            return (self,)
        pieces = []
        rest = self
        for plane in tool.planes:
            piece = rest.behind(plane.turned())
            inner = rest.behind(plane)
            if inner is None:
                return (self,)
            if piece is not None:
                pieces.append(piece)
            rest = inner
        return tuple(pieces)

    @cached_property
    def bounds(self) -> tuple[Point, Point]:
        """The least and the greatest corner of the box around the solid."""
        return box_around(self.vertices)

    def bounds_meet(self, other: "Solid") -> bool:
        """Whether the boxes around two solids meet or touch; if not, the solids do neither."""
        return boxes_meet(self.bounds, other.bounds)

    def extent(self, along: Vector) -> tuple[float, float]:
        """Least and greatest coordinate along a unit vector."""
        reaches = tuple(dot(corner, along) for corner in self.vertices)
        return min(reaches), max(reaches)

    def _with(self, vertices: tuple[Point, ...], faces: tuple[tuple[int, ...], ...]) -> "Solid":
        return Solid(
            vertices=vertices,
            faces=faces,
            round_diameter_mm=self.round_diameter_mm,
            round_axis=self.round_axis,
        )


def plane_of(loop: Sequence[Point]) -> Plane:
    """The plane of a flat loop, facing the side from which it runs counter-clockwise."""
    x, y, z = area_vector(loop)
    size = sqrt(x * x + y * y + z * z)
    normal = (x / size, y / size, z / size)
    return Plane(normal=normal, offset=dot(normal, middle(loop)))


def box_around(points: Sequence[Point]) -> tuple[Point, Point]:
    """The least and the greatest corner of the box around some points."""
    xs, ys, zs = zip(*points, strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))


def boxes_meet(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    """Whether two boxes, each given by its least and greatest corner, meet or touch."""
    (ax, ay, az), (bx, by, bz) = one
    (cx, cy, cz), (dx, dy, dz) = other
    return (
        ax <= dx + TOUCH_MM
        and cx <= bx + TOUCH_MM
        and ay <= dy + TOUCH_MM
        and cy <= by + TOUCH_MM
        and az <= dz + TOUCH_MM
        and cz <= bz + TOUCH_MM
    )


def cut_away(solids: Iterable[Solid], *tools: Solid) -> tuple[Solid, ...]:
    """What is left of some disjoint solids after every tool is cut away."""
    left = tuple(solids)
    for tool in tools:
        left = tuple(piece for solid in left for piece in solid.without(tool))
    return left


def bore(solids: Iterable[Solid], rod: Solid, sleeve: Solid) -> tuple[Solid, ...]:
    """What is left of some disjoint solids after a rod is bored out of them.

    The wood is first cut around the sleeve, so that the many small pieces stay beside the hole.
    """
    left: list[Solid] = []
    for solid in solids:
        within = solid.within(sleeve) if solid.bounds_meet(rod) else None
        if within is None:
            left.append(solid)
        else:
            left.extend(solid.without(sleeve))
            left.extend(within.without(rod))
    return tuple(left)


def volume_mm3(solids: Iterable[Solid]) -> float:
    """Volume of solids whose interiors are disjoint."""
    return sum(solid.volume_mm3 for solid in solids)


class _Clip:
    """The corners of a solid that stay behind a plane, and the new ones where edges cross it."""

    def __init__(self, vertices: Sequence[Point], heights: Sequence[float]) -> None:
        self.vertices, self.heights = vertices, heights
        self.points: list[Point] = []
        self.rim: dict[int, None] = {}
        self._numbers: dict[int, int] = {}
        self._crossings: dict[tuple[int, int], int] = {}

    def face(self, face: tuple[int, ...]) -> tuple[int, ...]:
        """What of a face stays, by the new numbers of its corners."""
        heights = self.heights
        kept: list[int] = []
        before = face[-1]
        there = heights[before]
        for corner in face:
            here = heights[corner]
            if (here > NEAR_MM and there < -NEAR_MM) or (here < -NEAR_MM and there > NEAR_MM):
                kept.append(self._crossing(before, corner))
            if here <= NEAR_MM:
                kept.append(self._kept(corner))
            before, there = corner, here
        return tuple(kept)

    def lid(self, normal: Vector) -> tuple[int, ...]:
        """The corners on the plane, counter-clockwise about its normal."""
        if len(self.rim) < 3:
            return ()
        rim = list(self.rim)
        centre = middle(self.points[number] for number in rim)
        across, up = square_to(normal)

        def turn(number: int) -> float:
            spoke = minus(self.points[number], centre)
            return atan2(dot(spoke, up), dot(spoke, across))

        return tuple(sorted(rim, key=turn))

    def _kept(self, corner: int) -> int:
        number = self._numbers.get(corner)
        if number is None:
            number = self._numbers[corner] = len(self.points)
            self.points.append(self.vertices[corner])
            if self.heights[corner] >= -NEAR_MM:
                self.rim[number] = None
        return number

    def _crossing(self, one: int, other: int) -> int:
        key = (one, other) if one < other else (other, one)
        number = self._crossings.get(key)
        if number is None:
            (x, y, z), (to_x, to_y, to_z) = self.vertices[key[0]], self.vertices[key[1]]
            here, there = self.heights[key[0]], self.heights[key[1]]
            share = here / (here - there)
            number = self._crossings[key] = len(self.points)
            self.points.append(
                (x + (to_x - x) * share, y + (to_y - y) * share, z + (to_z - z) * share)
            )
            self.rim[number] = None
        return number
