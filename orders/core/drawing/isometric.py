"""The exploded isometric: every member in line work, drawn apart along the way it leaves."""

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from math import cos, hypot, pi, sin

from orders.core.drawing.ends import BreakEnd, break_ends, trimmed, zigzag
from orders.core.drawing.explode import moves_of, threads
from orders.core.drawing.faces import faces_svg
from orders.core.drawing.flat import Loop, around, box_of, grown, hull, signed_area
from orders.core.drawing.grain import hatch
from orders.core.drawing.labels import Label, key_sizes, place
from orders.core.drawing.lines import (
    Drawn,
    Stroke,
    between,
    drawn,
    edges_of,
    in_plane,
    merged,
    visible_spans,
)
from orders.core.drawing.projection import ISOMETRIC, Camera, Spot
from orders.core.drawing.scene import Scene, Surface, scene_of
from orders.core.drawing.svg import drawing, line, path
from orders.core.lengths import LengthUnit
from orders.core.solids import Geometry, Member, Plane
from orders.core.vectors import Vector, dot, plus, square_to, times

FIT_PX = 330.0
MARGIN = 5.0
MOST_THREADS = 4
MOST_HIDDEN = 14


def isometric(
    geometry: Geometry,
    *,
    ident: str = "iso",
    labels: Mapping[str, str] | None = None,
    unit: LengthUnit | str = LengthUnit.MM,
    title: str = "",
    fit_px: float = FIT_PX,
) -> str:
    """The joint drawn apart, as SVG.

    `labels` names members by key, in place of the names they have; an empty name leaves one out,
    and where all are empty no sizes are written either. `unit` is that of the sizes.
    `fit_px` is the greatest extent of the wood on the sheet; words stand beside it. `ident` must
    be the only one of its kind on the page.
    """
    names = tuple(sorted((labels or {}).items()))
    plain = "mm" if str(unit) == "mm" else "inch"
    return _isometric(geometry, ident, names, plain, title, fit_px)


@lru_cache(maxsize=512)
def _isometric(
    geometry: Geometry,
    ident: str,
    names: tuple[tuple[str, str], ...],
    unit: str,
    title: str,
    fit_px: float,
) -> str:
    geometry = trimmed(geometry)
    moves = moves_of(geometry, _gap_mm(geometry), ISOMETRIC)
    camera = ISOMETRIC.at_scale(_scale(geometry, moves, fit_px))
    scene = scene_of(camera, geometry.members, moves)
    shapes = silhouettes(scene)
    frame = around(box_of(shape) for shape in shapes)
    strands = _threads(scene)
    is_mute = all(dict(names).get(member.key, member.label) == "" for member in scene.members)
    sizes = {} if is_mute else key_sizes(geometry, unit)
    labels = place(_labels(scene, dict(names), sizes), shapes, strands, frame)
    drawn_to = [frame, *map(box_of, strands), *(label.box for label in labels)]
    box = grown(around(drawn_to), MARGIN)
    body = [*_body(scene, strands), *(label.svg() for label in labels)]
    return drawing("iso", ident, title or _title(geometry, dict(names), unit), box, body)


def _body(scene: Scene, strands: Sequence[Stroke]) -> Iterator[str]:
    yield from faces_svg(scene)
    outline: list[Stroke] = []
    crease: list[Stroke] = []
    hidden: list[Stroke] = []
    marked: dict[BreakEnd, list[Stroke]] = {}
    ends = break_ends(scene.members)
    for edge in edges_of(scene):
        is_recess = all(side.surface in (Surface.WALL, Surface.FLOOR) for side in edge.sides)
        strokes = drawn(scene, edge, with_hidden=is_recess)
        end = _end_of(strokes, ends, scene)
        if end is None:
            outline.extend(strokes.outline)
            crease.extend(strokes.crease)
            hidden.extend(strokes.hidden)
        elif scene.camera.faces(end.along):
            outline.extend(strokes.outline)
            marked.setdefault(end, []).extend(strokes.crease)
        else:
            marked.setdefault(end, []).extend(strokes.outline + strokes.crease)
    outline = merged(outline)
    crease = merged(crease, outline)
    concealed = merged(hidden, outline + crease)
    if len(concealed) <= MOST_HIDDEN:
        yield path("d-hidden", _data(concealed))
    yield path("d-thin", _data(crease) + _break_lines(marked, scene.camera))
    yield path("d-explode", "".join(line(*stroke) for stroke in strands))
    yield path("d-heavy", _data(outline))
    yield from _holes(scene)


def _break_lines(marked: Mapping[BreakEnd, Sequence[Stroke]], camera: Camera) -> str:
    """Thin lines about the ends that go on, the longest of each with the break mark."""
    parts = []
    for end, strokes in marked.items():
        ordered = sorted(merged(strokes), key=_stroke_length, reverse=True)
        for stroke in ordered[:1]:
            parts.append(zigzag(*stroke, camera.spot(end.along)))
        parts.extend(line(*stroke) for stroke in ordered[1:])
    return "".join(parts)


def _stroke_length(stroke: Stroke) -> float:
    (u0, v0), (u1, v1) = stroke
    return round(hypot(u1 - u0, v1 - v0), 3)


def _holes(scene: Scene) -> Iterator[str]:
    """Bored holes that can be looked into, drawn as ellipses on the face they start from."""
    camera = scene.camera
    for number, member in enumerate(scene.members):
        for hole in member.holes:
            centre = plus(hole.mouth, scene.moves[number])
            if not camera.faces(times(hole.direction, -1.0)):
                continue
            rim = _rim(camera, centre, hole.direction, hole.diameter_mm / 2)
            if all(_is_on_top(scene, number, spot, centre, hole.direction) for spot in rim[::4]):
                yield path("d-cut", line(*rim) + "Z")
                yield path("d-hatch", hatch([rim], is_floor=True))
                yield path("d-heavy", line(*rim) + "Z")


def _is_on_top(scene: Scene, number: int, spot: Spot, centre: Vector, direction: Vector) -> bool:
    plane = Plane(normal=direction, offset=dot(direction, centre))
    across, down, base = scene.camera.depth_of(plane)
    met = scene.top_at(spot)
    near = across * spot[0] + down * spot[1] + base
    return met is not None and met[0] == number and met[1] < near + 0.5


def _rim(camera: Camera, centre: Vector, direction: Vector, radius: float) -> Loop:
    one, other = square_to(direction)
    rim = [
        camera.spot(
            plus(
                centre,
                plus(
                    times(one, radius * cos(step * pi / 16)),
                    times(other, radius * sin(step * pi / 16)),
                ),
            )
        )
        for step in range(32)
    ]
    return rim if signed_area(rim) > 0 else rim[::-1]


def _threads(scene: Scene) -> list[Stroke]:
    strokes: list[Stroke] = []
    for found in threads(scene.members, scene.moves):
        ends = [(scene.camera.seen(start), scene.camera.seen(end)) for start, end in found]
        if len(ends) > MOST_THREADS:
            ends = _outermost(ends)
        for start, end in ends:
            for low, high in visible_spans(scene.panels, start, end):
                strokes.append((between(start, end, low), between(start, end, high)))
    return merged(strokes)


def _outermost(
    found: Sequence[tuple[tuple[float, float, float], tuple[float, float, float]]],
) -> list[tuple[tuple[float, float, float], tuple[float, float, float]]]:
    """The two lines farthest to either side."""
    start, end = found[0]
    aside = (-(end[1] - start[1]), end[0] - start[0])
    ordered = sorted(found, key=lambda ends: ends[0][0] * aside[0] + ends[0][1] * aside[1])
    return [ordered[0], ordered[-1]]


def _end_of(strokes: Drawn, ends: Sequence[BreakEnd], scene: Scene) -> BreakEnd | None:
    for end in ends:
        if end.member == strokes.edge.member and in_plane(
            strokes.edge, end.along, end.reach_mm + dot(end.along, scene.moves[end.member])
        ):
            return end
    return None


def _labels(
    scene: Scene, names: Mapping[str, str], sizes: Mapping[str, Sequence[str]]
) -> list[Label]:
    labels = []
    for number, member in enumerate(scene.members):
        name = names.get(member.key, member.label)
        spot = anchor(scene, number, cut=False)
        if name and spot:
            labels.append(Label(words=name, anchor=spot))
        for note in (*member.notes, *sizes.get(member.key, ())):
            at = anchor(scene, number, cut=True) or spot
            if at:
                labels.append(Label(words=note, anchor=at))
    return labels


def anchor(scene: Scene, number: int, *, cut: bool) -> Spot | None:
    """A spot well inside the largest visible piece that the label may point at."""
    best: tuple[float, Loop] | None = None
    for panel in scene.panels:
        if panel.member != number:
            continue
        side = scene.sides[panel.patch]
        is_fit = side.is_cut if cut else side.surface is Surface.LONG and not side.is_cut
        for piece in panel.pieces:
            left, top, right, foot = box_of(piece)
            size = min(right - left, foot - top) * (1.0 if is_fit else 0.1)
            if best is None or size > best[0] + 1e-6:
                best = (size, piece)
    if best is None:
        return None
    piece = best[1]
    count = len(piece)
    return sum(spot[0] for spot in piece) / count, sum(spot[1] for spot in piece) / count


def silhouettes(scene: Scene) -> list[Loop]:
    """The hull of every member on the sheet."""
    shapes = []
    for number in range(len(scene.members)):
        spots = [spot for panel in scene.panels if panel.member == number for spot in panel.loop]
        if spots:
            shapes.append(hull(spots))
    return shapes


def _scale(geometry: Geometry, moves: Sequence[Vector], fit_px: float) -> float:
    spots = [
        ISOMETRIC.spot(plus(corner, move))
        for member, move in zip(geometry.members, moves, strict=True)
        for solid in member.solids
        for corner in solid.vertices
    ]
    left, top, right, foot = box_of(spots)
    return fit_px / max(right - left, foot - top, 1e-6)


def _gap_mm(geometry: Geometry) -> float:
    """Room between the parts: a good half of the middle size of member b's section."""
    corners = [corner for member in geometry.members for corner in _corners(member)]
    sizes = sorted(
        max(corner[axis] for corner in corners) - min(corner[axis] for corner in corners)
        for axis in range(3)
    )
    return 0.16 * hypot(sizes[1], sizes[2])


def _corners(member: Member) -> list[Vector]:
    return [corner for solid in member.blank for corner in solid.vertices]


def _title(geometry: Geometry, names: Mapping[str, str], unit: str) -> str:
    words = [names.get(member.key) or member.label for member in geometry.members]
    sizes = key_sizes(geometry, unit)
    notes = [
        note for member in geometry.members for note in (*member.notes, *sizes.get(member.key, ()))
    ]
    apart = f"Exploded isometric: {', '.join(words[1:]) or 'nothing'} drawn out of {words[0]}"
    return f"{apart}; {', '.join(notes)}" if notes else apart


def _data(strokes: Sequence[Stroke]) -> str:
    return "".join(line(*stroke) for stroke in strokes)
