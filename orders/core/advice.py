"""Advice that follows from the solids of a joint, whatever its type. Advice warns, never refuses."""

from collections.abc import Sequence
from math import inf

from orders.core.contact import Contact, GlueArea, Pairing
from orders.core.drivers import length_in_joint_mm
from orders.core.joint import Advice
from orders.core.release import Release
from orders.core.skin import member_skin
from orders.core.solids import Geometry, Member, Solid
from orders.core.vectors import Point, Vector, dot, middle, minus, plus, times

WOOD_HANDBOOK = "Wood Handbook, Forest Products Laboratory, chapter 10"
END_GRAIN = 0.97
MUCH_DEGREE = 20.0

END_GRAIN_ALONE = Advice(
    text="The glue relies on end grain alone; add a dowel, tongue or fixing.",
    reason="End-grain butts reach about a quarter of the wood's strength at best.",
    source=WOOD_HANDBOOK,
)
PLAIN_MITRE = Advice(
    text="A plain mitre without a key; add a spline, biscuit or dowels.",
    reason="Its faces are half end grain and nothing locks them.",
    source=WOOD_HANDBOOK,
)
END_TO_SIDE = Advice(
    text="An end glued to a side holds little; add a dowel, housing or fixing.",
    reason="End grain against long grain is hard to bond and moves apart.",
    source="Wood Handbook, Forest Products Laboratory, from memory, unverified",
)
NEEDS_A_FIXING = (END_GRAIN_ALONE, PLAIN_MITRE, END_TO_SIDE)
"""What a nail, screw or pin answers."""


def glue_advice(
    geometry: Geometry, faces: Sequence[Contact], glue: GlueArea, holds: Release
) -> tuple[Advice, ...]:
    """Warnings about glue that has to do what the wood does not."""
    if glue.long_long_mm2 > 0:
        return ()
    if glue.end_end_mm2 > 0:
        return (END_GRAIN_ALONE,)
    if _leans_much(faces) and len(geometry.members) == 2:
        return (PLAIN_MITRE,)
    if glue.long_end_mm2 > 0 and holds.is_loose:
        return (END_TO_SIDE,)
    return ()


def outdoor_advice(geometry: Geometry) -> tuple[Advice, ...]:
    """Warnings for a joint that stands outside."""
    shown = [member.label for member in geometry.members if _shows_end_grain(member, geometry)]
    if not shown:
        return ()
    return (
        Advice(
            text=f"End grain of the {' and the '.join(shown)} is open to the weather at the joint.",
            reason="End grain drinks water; seal or cover it, or choose a stopped joint.",
            source="common practice, no source",
        ),
    )


def _leans_much(faces: Sequence[Contact]) -> bool:
    """Whether some face is oblique by more than a scarf's slope to the grain of both."""
    return any(
        face.pairing is Pairing.OBLIQUE and min(face.from_degree, face.to_degree) > MUCH_DEGREE
        for face in faces
    )


def _shows_end_grain(member: Member, geometry: Geometry) -> bool:
    """Whether end grain of a member that the joint makes or holds is open to the outside."""
    ends_here = length_in_joint_mm(geometry, member.key) > 0
    far = _far_end(member, geometry)
    for patch in member_skin(member):
        if abs(dot(patch.plane.normal, member.grain)) < END_GRAIN:
            continue
        if not patch.is_cut and (not ends_here or dot(patch.plane.normal, far) > 0):
            continue
        if any(_is_open(_inside(loop), patch.plane.normal, geometry) for loop in patch.loops):
            return True
    return False


def _far_end(member: Member, geometry: Geometry) -> Vector:
    """The way along the grain that leads out of the joint."""
    others = [
        corner
        for other in geometry.members
        if other.key != member.key
        for solid in other.blank
        for corner in solid.vertices
    ]
    own = [corner for solid in member.blank for corner in solid.vertices]
    leads = dot(minus(middle(own), middle(others)), member.grain)
    return times(member.grain, 1.0 if leads > 0 else -1.0)


def _inside(loop: tuple[Point, ...]) -> Point:
    """A point inside a convex loop, off its middle so that it does not fall on a seam."""
    corner, following = loop[0], loop[1]
    return plus(times(middle(loop), 0.83), plus(times(corner, 0.12), times(following, 0.05)))


def _is_open(point: Point, normal: Vector, geometry: Geometry) -> bool:
    """Whether nothing stands in front of a point on the surface."""
    return not any(
        _is_hit(point, normal, solid) for member in geometry.members for solid in member.solids
    )


def _is_hit(start: Point, along: Vector, solid: Solid) -> bool:
    """Whether a ray meets a convex solid in front of its start."""
    near, far = 0.0, inf
    for plane in solid.planes:
        height, rate = plane.height_of(start), dot(plane.normal, along)
        if abs(rate) < 1e-9:
            if height > -1e-6:
                return False
        elif rate < 0:
            near = max(near, -height / rate)
        else:
            far = min(far, -height / rate)
    return far - near > 1e-6
