"""Taking a joint apart: how far every member moves, and the lines that say where it came from."""

from collections.abc import Sequence

from orders.core.drawing.flat import Loop, box_of, hull
from orders.core.drawing.projection import Camera
from orders.core.skin import member_skin
from orders.core.solids import Geometry, Member, Solid
from orders.core.vectors import Point, Vector, dot, norm, plus, times, unit

LEAST_CLEAR = 1e-6


def moves_of(geometry: Geometry, gap_mm: float, camera: Camera) -> tuple[Vector, ...]:
    """How each member moves along the way it leaves, until it is clear of all before it.

    Member b moves on until it no longer stands before what it came out of, within reason.
    """
    moves: dict[str, Vector] = {
        member.key: (0.0, 0.0, 0.0) for member in geometry.members if not norm(member.leaves)
    }
    movers = [member for member in geometry.members if norm(member.leaves)]
    placed = [member for member in geometry.members if not norm(member.leaves)]
    for member in sorted(movers, key=_reached_first):
        way = unit(member.leaves)
        need = 0.0
        for other in placed:
            need = max(need, _need(member, other, moves[other.key], way))
        if member.key == "b":
            need = max(need, _until_seen(geometry, need, camera) - gap_mm)
        moves[member.key] = times(way, need + gap_mm)
        placed.append(member)
    return tuple(moves[member.key] for member in geometry.members)


def threads(members: Sequence[Member], moves: Sequence[Vector]) -> list[list[tuple[Point, Point]]]:
    """For each member, lines from where its deepest corners sat to where they are drawn.

    What is round has one line, its axis, which runs on to the next member that comes after it;
    that member then needs none of its own.
    """
    found: list[list[tuple[Point, Point]]] = []
    rods = [
        (unit(moves[number]), solid)
        for number, member in enumerate(members)
        for solid in member.solids
        if solid.round_axis is not None and norm(moves[number])
    ]
    for number, member in enumerate(members):
        move = moves[number]
        if not norm(move):
            found.append([])
        elif any(solid.round_axis is not None for solid in member.solids):
            found.append(_axes(member, move, moves))
        elif any(
            dot(way, unit(move)) > 0.999 and norm(move) > norm(way) and _rod_meets(rod, member)
            for way, rod in rods
        ):
            found.append([])
        else:
            others = [other for other in members if other is not member]
            found.append(_corners(member, move, others))
    return found


def _rod_meets(rod: Solid, member: Member) -> bool:
    return any(rod.within(solid) is not None for solid in member.blank)


def _axes(member: Member, move: Vector, moves: Sequence[Vector]) -> list[tuple[Point, Point]]:
    way = unit(move)
    farthest = max(
        (norm(other) for other in moves if norm(other) and dot(unit(other), way) > 0.999),
        default=norm(move),
    )
    lines = []
    for solid in member.solids:
        count = len(solid.vertices)
        heart = times(
            (
                sum(corner[0] for corner in solid.vertices),
                sum(corner[1] for corner in solid.vertices),
                sum(corner[2] for corner in solid.vertices),
            ),
            1 / count,
        )
        low, high = solid.extent(way)
        here = dot(heart, way)
        lines.append(
            (plus(heart, times(way, low - here)), plus(heart, times(way, high - here + farthest)))
        )
    return lines


def _corners(member: Member, move: Vector, others: Sequence[Member]) -> list[tuple[Point, Point]]:
    way = unit(move)
    corners = {
        tuple(round(part, 4) for part in corner): corner
        for solid in member.solids
        for corner in solid.vertices
        if any(_holds(other, corner) for other in others)
    }
    if not corners:
        return []
    deepest = min(dot(corner, way) for corner in corners.values())
    return [
        (corner, plus(corner, move))
        for corner in corners.values()
        if dot(corner, way) < deepest + 1e-3
    ]


def _until_seen(geometry: Geometry, need: float, camera: Camera) -> float:
    """How far member b must go on the sheet to uncover the cuts in member a that face the eye."""
    a, b = geometry.member("a"), geometry.member("b")
    cuts = [
        corner
        for patch in member_skin(a)
        if patch.is_cut and camera.faces(patch.plane.normal)
        for loop in patch.loops
        for corner in loop
    ]
    way = camera.spot(unit(b.leaves))
    if len(cuts) < 3 or norm((*way, 0.0)) < 1e-6:
        return 0.0
    place = hull(camera.spot(corner) for corner in cuts)
    cover = hull(camera.spot(corner) for solid in b.solids for corner in solid.vertices)
    left, top, right, foot = box_of(place)
    most = need + 0.8 * max(right - left, foot - top)
    return min(most, _slide(cover, place, way))


def _slide(mover: Loop, still: Loop, way: tuple[float, float]) -> float:
    """How far a convex loop must slide to be clear of another."""
    least = float("inf")
    for loop, sign in ((still, 1.0), (mover, -1.0)):
        for start, end in zip(loop, loop[1:] + loop[:1], strict=True):
            normal = (sign * (end[1] - start[1]), sign * (start[0] - end[0]))
            room = max(normal[0] * u + normal[1] * v for u, v in still) - min(
                normal[0] * u + normal[1] * v for u, v in mover
            )
            speed = normal[0] * way[0] + normal[1] * way[1]
            if speed > 1e-9:
                least = min(least, room / speed)
            elif room <= 1e-6:
                return 0.0
    return max(0.0, least) if least < float("inf") else 0.0


def _reached_first(member: Member) -> tuple[float, bool]:
    """What leaves by a shorter way stays between the others; of equals, member b goes first."""
    return norm(member.leaves), member.key != "b"


def _holds(member: Member, point: Point) -> bool:
    return any(
        all(plane.height_of(point) < 1e-4 for plane in solid.planes) for solid in member.blank
    )


def _need(member: Member, other: Member, moved: Vector, way: Vector) -> float:
    """How far a member must go to stand apart from another that has itself been moved.

    What keys two parts must come out of both as far as it is long. Two parts need to be clear of
    each other only where they would meet.
    """
    least = min(solid.extent(way)[0] for solid in member.unbored or member.solids)
    most = max(solid.extent(way)[1] for solid in other.unbored or other.solids)
    past = max(0.0, most + dot(moved, way) - least)
    if not {member.key, other.key} <= {"a", "b"}:
        return past
    clear = (
        _clearance(mine, theirs.moved(moved), way)
        for mine in member.unbored or member.solids
        for theirs in other.blank
    )
    return min(past, max(clear, default=0.0))


def _clearance(mine: Solid, theirs: Solid, way: Vector) -> float:
    """How far a solid must go to be clear of another on its way, 0 if it never meets it."""
    least = float("inf")
    normals = [*theirs.face_normals, *(times(normal, -1.0) for normal in mine.face_normals)]
    for normal in normals:
        speed = dot(normal, way)
        room = theirs.extent(normal)[1] - mine.extent(normal)[0]
        if speed > LEAST_CLEAR:
            least = min(least, room / speed)
        elif room <= LEAST_CLEAR and speed <= 0:
            return 0.0
    return max(0.0, least) if least < float("inf") else 0.0
