"""Fills and line work of a scene's visible faces."""

from collections.abc import Sequence

from orders.core.drawing.flat import Loop
from orders.core.drawing.grain import Pith, fibre, hatch, pith_of, rings, slightness
from orders.core.drawing.scene import Scene, Side, Surface
from orders.core.drawing.svg import loops, path
from orders.core.solids import Member
from orders.core.vectors import Vector, dot, minus, square_to, times

LEAST_WORKED = 3.5
_FILLS = {
    Surface.LONG: "d-face",
    Surface.END: "d-endface",
    Surface.WALL: "d-cut",
    Surface.FLOOR: "d-cut",
}


def faces_svg(scene: Scene) -> list[str]:
    """Every visible face with its fill, then all grain, rings and hatching."""
    fills: dict[str, list[Loop]] = {"d-face": [], "d-endface": [], "d-cut": []}
    grain: list[str] = []
    ends: list[str] = []
    hatches: list[str] = []
    piths = [_pith(member) for member in scene.members]
    by_patch: dict[int, list[Loop]] = {}
    for panel in scene.panels:
        if panel.pieces:
            by_patch.setdefault(panel.patch, []).extend(panel.pieces)
    for patch, pieces in by_patch.items():
        side = scene.sides[patch]
        is_sliver = slightness(pieces) < LEAST_WORKED
        fills[_FILLS[side.surface]].extend(pieces)
        seed = side.member * 31 + patch
        if is_sliver:
            continue
        if side.surface is Surface.LONG:
            grain.append(_fibre(scene, side, pieces, seed))
        elif side.surface is Surface.END:
            ends.append(_rings(scene, side, pieces, piths[side.member], side.member))
        else:
            hatches.append(
                hatch(
                    pieces,
                    is_floor=side.surface is Surface.FLOOR,
                    rising=abs(side.plane.normal[1]) < 0.7,
                )
            )
    return [
        *(path(name, loops(pieces)) for name, pieces in fills.items()),
        path("d-grain", "".join(grain)),
        path("d-end", "".join(ends)),
        path("d-hatch", "".join(hatches)),
    ]


def _fibre(scene: Scene, side: Side, pieces: Sequence[Loop], seed: int) -> str:
    if side.is_round:
        return ""
    grain, normal = scene.members[side.member].grain, side.plane.normal
    on_face = minus(grain, times(normal, dot(grain, normal)))
    return fibre(pieces, scene.camera.spot(on_face), seed)


def _rings(scene: Scene, side: Side, pieces: Sequence[Loop], pith: Pith, seed: int) -> str:
    return rings(
        pieces,
        scene.camera,
        pith,
        side.plane.normal,
        side.plane.offset,
        scene.moves[side.member],
        seed,
    )


def _pith(member: Member) -> Pith:
    corners = [corner for solid in member.blank for corner in solid.vertices]
    return pith_of(corners, member.grain, _frame(member.grain))


def _frame(grain: Vector) -> tuple[Vector, Vector]:
    return square_to(grain)
