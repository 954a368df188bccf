"""The two small figures beside a drawing: what holds, and grain that meets grain."""

from collections.abc import Collection, Mapping, Sequence

from orders.core.contact import Pairing
from orders.core.drawing.projection import ISOMETRIC, Spot
from orders.core.drawing.svg import drawing, line, path
from orders.core.vectors import Vector, dot, norm

_AXES = {
    "-x": (-1.0, 0.0, 0.0),
    "-y": (0.0, -1.0, 0.0),
    "-z": (0.0, 0.0, -1.0),
    "+x": (1.0, 0.0, 0.0),
    "+y": (0.0, 1.0, 0.0),
    "+z": (0.0, 0.0, 1.0),
}
ON_AXIS = 0.999
SEEN_LEAST = 0.1
_HALF = 18.0
_STRIPS = {"long": "{}h15", "cross": "{}v14", "end": "{}q7.5 -3 15 0", "slope": "{}l7 -14"}


def holds(
    free: Collection[str] | Mapping[str, bool],
    *,
    ident: str = "holds",
    words: str = "",
    ways: Sequence[Vector] = (),
) -> str:
    """Six directions about a block: a bar ends what is held, a dashed arrow shows the way out.

    `free` names the open ones among +x, -x, +y, -y, +z and -z, or tells it of each; `ways` are
    unit vectors of ways out, of which those aslant to the six get an arrow of their own.
    """
    opened = (
        {axis for axis, is_free in free.items() if is_free}
        if isinstance(free, Mapping)
        else set(free)
    )
    body = ["", _block()]
    for axis, way in _AXES.items():
        along = ISOMETRIC.spot(way)
        stub = _open(along) if axis in opened else _held(along)
        if axis.startswith("-"):
            body.insert(0, stub)
        else:
            body.append(stub)
    for slant in ways:
        if max(map(abs, slant)) < ON_AXIS and norm((*ISOMETRIC.spot(slant), 0.0)) > SEEN_LEAST:
            arrow = _open(ISOMETRIC.spot(slant))
            if dot(slant, ISOMETRIC.sight) < 0:
                body.insert(0, arrow)
            else:
                body.append(arrow)
    title = words or f"{len(opened)} of six directions open, {6 - len(opened)} held dry"
    return drawing("holds", ident, title, (-62.0, -62.0, 62.0, 62.0), body)


def swatch(pairing: Pairing | str) -> str:
    """Two strips side by side, as the grain of two parts that meet."""
    left, right = {
        Pairing.LONG_LONG_PARALLEL: ("long", "long"),
        Pairing.LONG_LONG_CROSSED: ("long", "cross"),
        Pairing.LONG_END: ("long", "end"),
        Pairing.END_END: ("end", "end"),
        Pairing.OBLIQUE: ("slope", "slope"),
    }[Pairing(pairing)]
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" class="swatch" viewBox="0 0 34 14" '
        f'width="34" height="14" aria-hidden="true"><path d="{_strip(left, 0)}{_strip(right, 19)}"/>'
        '<path d="M17 0v14" stroke-width="2"/></svg>'
    )


def _strip(kind: str, left: float) -> str:
    starts = {
        "long": [(left, 3.5), (left, 7.0), (left, 10.5)],
        "cross": [(left + 3, 0.0), (left + 7.5, 0.0), (left + 12, 0.0)],
        "end": [(left, 4.0), (left, 8.0), (left, 12.0)],
        "slope": [(left, 14.0), (left + 4, 14.0), (left + 8, 14.0)],
    }[kind]
    return "".join(_STRIPS[kind].format(line(start)) for start in starts)


def _block() -> str:
    corners = [
        ISOMETRIC.spot(tuple(_HALF / 2 * part for part in sign))  # type: ignore[arg-type]
        for sign in ((-1, 1, -1), (1, 1, -1), (1, -1, -1), (1, -1, 1), (-1, -1, 1), (-1, 1, 1))
    ]
    near = ISOMETRIC.spot((_HALF / 2, _HALF / 2, _HALF / 2))
    inner = "".join(line(near, corner) for corner in (corners[1], corners[3], corners[5]))
    return path("d-face d-heavy", line(*corners) + "Z") + path("d-thin", inner)


def _held(along: Spot) -> str:
    start, end = _far(along, 17.0), _far(along, 38.0)
    across = (-along[1] * 6, along[0] * 6)
    return path("d-held", line(start, end)) + path(
        "d-bar",
        line((end[0] - across[0], end[1] - across[1]), (end[0] + across[0], end[1] + across[1])),
    )


def _open(along: Spot) -> str:
    start, neck, tip = _far(along, 12.0), _far(along, 45.0), _far(along, 55.0)
    across = (-along[1] * 5, along[0] * 5)
    head = line(
        tip,
        (neck[0] - across[0], neck[1] - across[1]),
        (neck[0] + across[0], neck[1] + across[1]),
    )
    return path("d-open", line(start, neck)) + path("d-openhead", head + "Z")


def _far(along: Spot, reach: float) -> Spot:
    return along[0] * reach, along[1] * reach
