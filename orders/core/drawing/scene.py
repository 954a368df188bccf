"""What the eye meets: the faces of every member on the sheet, each with its kind and its depth."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from orders.core.drawing.flat import (
    Box,
    Fence,
    Loop,
    box_of,
    boxes_meet,
    clipped,
    fences_of,
    inside,
    signed_area,
    without,
)
from orders.core.drawing.projection import Camera, Seen, Spot
from orders.core.skin import Patch, skin
from orders.core.solids import Member, Plane, Solid
from orders.core.vectors import Point, Vector, dot, minus, norm, plus, times, unit

END_LEAN = 0.6
TOUCH = 1e-4


class Surface(StrEnum):
    """What a face shows."""

    LONG = "long"
    END = "end"
    WALL = "wall"
    FLOOR = "floor"


@dataclass(slots=True, kw_only=True)
class Panel:
    """One convex loop of a patch that is turned to the eye."""

    member: int
    patch: int
    loop: Loop
    fences: list[Fence]
    box: Box
    depth: Seen
    pieces: list[Loop]


@dataclass(slots=True, kw_only=True)
class Side:
    """One patch of a member's surface, moved to where it is drawn."""

    member: int
    plane: Plane
    loops: tuple[tuple[Point, ...], ...]
    edges: tuple[tuple[Point, Point], ...]
    surface: Surface
    is_seen: bool
    is_cut: bool
    is_round: bool


@dataclass(slots=True, kw_only=True)
class Scene:
    """All members as the camera sees them, with the hidden parts of every face taken away."""

    camera: Camera
    members: tuple[Member, ...]
    moves: tuple[Vector, ...]
    sides: list[Side]
    panels: list[Panel]

    def top_at(self, spot: Spot) -> tuple[int, float] | None:
        """Which member the eye meets at a spot, and how near."""
        best: tuple[int, float] | None = None
        u, v = spot
        for panel in self.panels:
            box = panel.box
            if box[0] <= u <= box[2] and box[1] <= v <= box[3] and inside(spot, panel.fences):
                near = panel.depth[0] * u + panel.depth[1] * v + panel.depth[2]
                if best is None or near > best[1] + TOUCH:
                    best = (panel.member, near)
        return best

    def pieces_of(self, patch: int) -> list[Loop]:
        """The visible pieces of a patch."""
        return [piece for panel in self.panels if panel.patch == patch for piece in panel.pieces]


@lru_cache(maxsize=512)
def member_sides(member: Member) -> tuple[tuple[Patch, Surface, bool], ...]:
    """The surface of a member as it is drawn: bored holes are drawn on top of it."""
    return sides_of(member.unbored or member.solids, member)


def sides_of(solids: Sequence[Solid], member: Member) -> tuple[tuple[Patch, Surface, bool], ...]:
    """The surface of some of a member's solids, with what each patch shows."""
    axis = next((solid.round_axis for solid in solids if solid.round_axis is not None), None)
    return tuple(
        (
            patch,
            _surface(patch, solids, member),
            axis is not None and abs(dot(axis, patch.plane.normal)) < 0.5,
        )
        for patch in skin(solids, member.blank)
    )


def scene_of(
    camera: Camera,
    members: Sequence[Member],
    moves: Sequence[Vector],
    surfaces: Mapping[int, tuple[tuple[Patch, Surface, bool], ...]] | None = None,
) -> Scene:
    """Set up the members, each moved by its own vector, and find what of every face is visible."""
    sides: list[Side] = []
    panels: list[Panel] = []
    for number, member in enumerate(members):
        move = moves[number]
        found = surfaces[number] if surfaces is not None else member_sides(member)
        for patch, surface, is_round in found:
            side = _moved(patch, move, number, surface, is_round, camera)
            if side.is_seen:
                panels.extend(_panels(side, len(sides), camera))
            sides.append(side)
    for panel in panels:
        panel.pieces = _visible(panel, panels)
    return Scene(
        camera=camera, members=tuple(members), moves=tuple(moves), sides=sides, panels=panels
    )


def _moved(
    patch: Patch, move: Vector, number: int, surface: Surface, is_round: bool, camera: Camera
) -> Side:
    plane = patch.plane
    return Side(
        member=number,
        plane=Plane(normal=plane.normal, offset=plane.offset + dot(plane.normal, move)),
        loops=tuple(tuple(plus(corner, move) for corner in loop) for loop in patch.loops),
        edges=tuple((plus(start, move), plus(end, move)) for start, end in patch.edges),
        surface=surface,
        is_seen=camera.faces(plane.normal),
        is_cut=patch.is_cut,
        is_round=is_round,
    )


def _panels(side: Side, patch: int, camera: Camera) -> list[Panel]:
    depth = camera.depth_of(side.plane)
    panels = []
    for corners in side.loops:
        loop = [camera.spot(corner) for corner in corners]
        area = signed_area(loop)
        if abs(area) < 1e-6:
            continue
        if area < 0:
            loop.reverse()
        panels.append(
            Panel(
                member=side.member,
                patch=patch,
                loop=loop,
                fences=fences_of(loop),
                box=box_of(loop),
                depth=depth,
                pieces=[],
            )
        )
    return panels


def _visible(panel: Panel, panels: Sequence[Panel]) -> list[Loop]:
    """What of a panel no other panel hides, in convex pieces."""
    pieces = [panel.loop]
    by_u, by_v, base = panel.depth
    for other in panels:
        if other is panel or not boxes_meet(panel.box, other.box):
            continue
        dk, dl, dm = other.depth[0] - by_u, other.depth[1] - by_v, other.depth[2] - base
        lead = [dk * u + dl * v + dm for u, v in other.loop]
        if max(lead) <= TOUCH:
            continue
        fences = other.fences
        if min(lead) < -TOUCH:
            nearer = clipped(other.loop, (-dk, -dl, dm - TOUCH))
            if len(nearer) < 3 or abs(signed_area(nearer)) < 1e-3:
                continue
            fences = fences_of(nearer)
        pieces = [rest for piece in pieces for rest in without(piece, fences)]
        if not pieces:
            break
    return pieces


def _surface(patch: Patch, solids: Sequence[Solid], member: Member) -> Surface:
    """Long or end grain, or the wall or floor of a recess: what has wood on both sides of it."""
    normal = patch.plane.normal
    if patch.is_cut and len(solids) > 1:
        loop = max(patch.loops, key=lambda corners: _spread(corners))
        count = len(loop)
        heart = times(
            (
                sum(corner[0] for corner in loop),
                sum(corner[1] for corner in loop),
                sum(corner[2] for corner in loop),
            ),
            1.0 / count,
        )
        above = plus(heart, times(normal, 1e-3))
        if _meets(above, normal, solids):
            return Surface.WALL
        edge = unit(minus(loop[1], loop[0]))
        ways = [edge, unit(_square(edge, normal))]
        if any(
            _meets(above, way, solids) and _meets(above, times(way, -1), solids) for way in ways
        ):
            return Surface.FLOOR
    return Surface.END if abs(dot(normal, member.grain)) > END_LEAN else Surface.LONG


def _square(edge: Vector, normal: Vector) -> Vector:
    return (
        edge[1] * normal[2] - edge[2] * normal[1],
        edge[2] * normal[0] - edge[0] * normal[2],
        edge[0] * normal[1] - edge[1] * normal[0],
    )


def _spread(loop: Sequence[Point]) -> float:
    return norm(minus(loop[1], loop[0])) * norm(minus(loop[-1], loop[0]))


def _meets(start: Point, way: Vector, solids: Sequence[Solid]) -> bool:
    """Whether a ray runs into any of the solids."""
    for solid in solids:
        low, high = 0.0, 1e9
        for plane in solid.planes:
            speed = dot(plane.normal, way)
            room = plane.offset - dot(plane.normal, start)
            if abs(speed) < 1e-9:
                if room < 0:
                    low = 1e9
            elif speed > 0:
                high = min(high, room / speed)
            else:
                low = max(low, room / speed)
        if high - low > 1e-3:
            return True
    return False
