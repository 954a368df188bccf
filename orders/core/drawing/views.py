"""Front, top and side views to one scale, with the lengths that the bench works to."""

from collections.abc import Iterator, Sequence
from functools import lru_cache

from orders.core.drawing.dimensions import Measure, figure, lay_out
from orders.core.drawing.ends import ZIGZAG, BreakEnd, break_ends, trimmed, zigzag
from orders.core.drawing.faces import faces_svg
from orders.core.drawing.flat import Loop, around, box_of, grown, hull
from orders.core.drawing.lines import Edge, Stroke, drawn, edges_of, in_plane, merged
from orders.core.drawing.projection import VIEWS, Camera, Spot
from orders.core.drawing.scene import Scene, Surface, member_sides, scene_of, sides_of
from orders.core.drawing.svg import drawing, line, path
from orders.core.lengths import LengthUnit
from orders.core.skin import Patch
from orders.core.solids import Geometry, Member, Plane, View
from orders.core.vectors import Vector, Y, dot, norm, plus, square_to, times

FIT_PX = 220.0
MARGIN = 5.0
BEYOND = 9.0
_NAMES = {View.FRONT: "Front view", View.TOP: "Section from above", View.SIDE: "Side view"}


def views(
    geometry: Geometry, unit: LengthUnit | str = LengthUnit.MM, *, ident: str = "view"
) -> dict[View, str]:
    """All three views of a joint, to one scale, as SVG."""
    return {which: view(geometry, which, unit, ident=f"{ident}-{which}") for which in View}


def view(
    geometry: Geometry,
    which: View | str,
    unit: LengthUnit | str = LengthUnit.MM,
    *,
    ident: str = "view",
    fit_px: float = FIT_PX,
) -> str:
    """One view of the joint put together, dimensioned in `unit`, as SVG.

    The three views of a joint have one scale. The view from above is cut through the middle of the
    joint; in the others hidden edges are dashed. `ident` must be the only one on the page.
    """
    plain = "mm" if str(unit) in ("mm", LengthUnit.MM) else "inch"
    return _view(geometry, View(which), plain, ident, fit_px)


@lru_cache(maxsize=1024)
def _view(geometry: Geometry, which: View, unit: str, ident: str, fit_px: float) -> str:
    geometry = trimmed(geometry)
    camera = VIEWS[which].at_scale(_scale(geometry, fit_px))
    scene = _scene(geometry, which, camera)
    body = list(_body(scene, is_section=which is View.TOP))
    shapes = _silhouettes(scene)
    wood = around(box_of(shape) for shape in shapes)
    measures = _measures(geometry, which, camera, unit)
    lines = lay_out(measures, shapes, [*_centres(scene), *_break_boxes(scene)])
    box = grown(around([grown(wood, BEYOND), *(one.box for one in lines)]), MARGIN)
    body.extend(one.svg() for one in lines)
    return drawing(str(which), ident, _title(geometry, which, unit), box, body)


def _scene(geometry: Geometry, which: View, camera: Camera) -> Scene:
    still = ((0.0, 0.0, 0.0),) * len(geometry.members)
    if which is not View.TOP:
        return scene_of(camera, geometry.members, still)
    plane = Plane(normal=Y, offset=_cut_height(geometry))
    kept: list[Member] = []
    surfaces = {}
    for member in geometry.members:
        low, high = _extent(member)
        if high <= plane.offset + 1e-6:
            surfaces[len(kept)] = member_sides(member)
        else:
            if low >= plane.offset:
                continue
            surfaces[len(kept)] = _cut_sides(member, plane)
        kept.append(member)
    return scene_of(camera, kept, still[: len(kept)], surfaces)


def _cut_sides(member: Member, plane: Plane) -> tuple[tuple[Patch, Surface, bool], ...]:
    """The surface of what lies behind a plane; bored holes show in the cut alone."""
    left = [
        piece
        for solid in member.unbored or member.solids
        if (piece := solid.behind(plane)) is not None
    ]
    sides = sides_of(left, member)
    if not member.holes:
        return sides
    cut = tuple(
        loop
        for solid in member.solids
        if (piece := solid.behind(plane)) is not None
        for loop, normal in zip(piece.face_loops, piece.face_normals, strict=True)
        if dot(normal, plane.normal) > 1 - 1e-9 and abs(plane.height_of(loop[0])) < 1e-6
    )
    return tuple(
        (Patch(plane=patch.plane, loops=cut, is_cut=patch.is_cut), surface, is_round)
        if _is_at(patch.plane, plane)
        else (patch, surface, is_round)
        for patch, surface, is_round in sides
    )


def _is_at(one: Plane, other: Plane) -> bool:
    return dot(one.normal, other.normal) > 1 - 1e-9 and abs(one.offset - other.offset) < 1e-6


def _body(scene: Scene, *, is_section: bool) -> Iterator[str]:
    yield from faces_svg(scene)
    outline: list[Stroke] = []
    crease: list[Stroke] = []
    hidden: list[Stroke] = []
    ends = [end for end in break_ends(scene.members) if _lies_flat(end.along, scene.camera)]
    for edge in edges_of(scene):
        if any(_is_of(edge, end) for end in ends):
            continue
        strokes = drawn(scene, edge, with_hidden=not is_section)
        outline.extend(strokes.outline)
        crease.extend(strokes.crease)
        hidden.extend(strokes.hidden)
    if not is_section:
        hidden.extend(_hole_strokes(scene))
    outline = merged(outline)
    crease = merged(crease, outline)
    yield path("d-hidden", _data(merged(hidden, outline + crease)))
    yield path("d-thin", _data(crease) + "".join(_break_line(scene, end) for end in ends))
    yield path("d-heavy", _data(outline))
    yield path("d-centre", _data(merged(_centres(scene))))


def _hole_strokes(scene: Scene) -> Iterator[Stroke]:
    """The sides and floor of every bored hole, seen square to it."""
    camera = scene.camera
    for member in scene.members:
        for hole in member.holes:
            along = camera.spot(hole.direction)
            if abs(along[0]) + abs(along[1]) < 1e-6:
                continue
            end = plus(hole.mouth, times(hole.direction, hole.depth_mm))
            mouth_spot, end_spot = camera.spot(hole.mouth), camera.spot(end)
            length = max(norm((*along, 0.0)), 1e-9)
            reach = hole.diameter_mm / 2 * camera.scale
            out = (-along[1] / length * reach, along[0] / length * reach)
            near = [_shifted(mouth_spot, out, sign) for sign in (1, -1)]
            far = [_shifted(end_spot, out, sign) for sign in (1, -1)]
            yield near[0], far[0]
            yield near[1], far[1]
            yield far[0], far[1]


def _centres(scene: Scene) -> Iterator[Stroke]:
    """The axis of member b and of everything round."""
    for member in scene.members:
        if member.key == "b":
            yield from _axis(scene.camera, member, member.grain)
    for member in scene.members:
        for hole in member.holes:
            yield from _axis_between(
                scene.camera,
                hole.mouth,
                plus(hole.mouth, times(hole.direction, hole.depth_mm)),
            )


def _axis(camera: Camera, member: Member, along: Vector) -> Iterator[Stroke]:
    corners = [corner for solid in member.blank for corner in solid.vertices]
    if not corners:
        return
    one, other = square_to(along)
    middle = (0.0, 0.0, 0.0)
    for axis in (one, other):
        reaches = [dot(corner, axis) for corner in corners]
        middle = plus(middle, times(axis, (min(reaches) + max(reaches)) / 2))
    reaches = [dot(corner, along) for corner in corners]
    yield from _axis_between(
        camera, plus(middle, times(along, min(reaches))), plus(middle, times(along, max(reaches)))
    )


def _axis_between(camera: Camera, start: Vector, end: Vector) -> Iterator[Stroke]:
    a, b = camera.spot(start), camera.spot(end)
    length = norm((b[0] - a[0], b[1] - a[1], 0.0))
    if length < 2:
        return
    over = ((b[0] - a[0]) / length * 7, (b[1] - a[1]) / length * 7)
    yield _shifted(a, over, -1), _shifted(b, over, 1)


def _break_line(scene: Scene, end: BreakEnd) -> str:
    """A thin line with a mark across the end where the wood goes on."""
    return zigzag(*_break_span(scene, end), scene.camera.spot(end.along))


def _break_span(scene: Scene, end: BreakEnd) -> Stroke:
    """Across the end of a member, a little beyond its edges."""
    camera = scene.camera
    corners = [
        corner
        for solid in scene.members[end.member].blank
        for corner in solid.vertices
        if abs(dot(corner, end.along) - end.reach_mm) < 1e-4
    ]
    spots = [camera.spot(corner) for corner in corners]
    along = camera.spot(end.along)
    size = norm((*along, 0.0))
    aside = (-along[1] / size, along[0] / size)
    reaches = sorted(aside[0] * u + aside[1] * v for u, v in spots)
    base = along[0] / size * spots[0][0] + along[1] / size * spots[0][1]

    def at(reach: float) -> Spot:
        return (
            aside[0] * reach + along[0] / size * base,
            aside[1] * reach + along[1] / size * base,
        )

    return at(reaches[0] - 4), at(reaches[-1] + 4)


def _break_boxes(scene: Scene) -> Iterator[Stroke]:
    """The reach of every break mark: across it, and along the wood as far as it points."""
    for end in break_ends(scene.members):
        if not _lies_flat(end.along, scene.camera):
            continue
        start, finish = _break_span(scene, end)
        yield start, finish
        middle = ((start[0] + finish[0]) / 2, (start[1] + finish[1]) / 2)
        yield (
            _shifted(middle, scene.camera.spot(end.along), -ZIGZAG / scene.camera.scale),
            _shifted(middle, scene.camera.spot(end.along), ZIGZAG / scene.camera.scale),
        )


def _measures(geometry: Geometry, which: View, camera: Camera, unit: str) -> list[Measure]:
    """What is measured in this view; the same length twice over is measured once."""
    found: dict[tuple[object, ...], Measure] = {}
    for one in geometry.dimensions:
        if one.view != which:
            continue
        start, end = camera.spot(one.start), camera.spot(one.end)
        length = norm((end[0] - start[0], end[1] - start[1], 0.0))
        if length < 0.2:
            continue
        measure = Measure(figure=figure(one.value_mm, unit), start=start, end=end)
        along = tuple(
            round(abs(part) / length, 3) for part in (end[0] - start[0], end[1] - start[1])
        )
        low = sorted(
            (round(u * along[0] + v * along[1], 1) for u, v in (start, end)),
        )
        found.setdefault((measure.figure, along, *low), measure)
    return list(found.values())


def _silhouettes(scene: Scene) -> list[Loop]:
    shapes = []
    for number in range(len(scene.members)):
        spots = [spot for panel in scene.panels if panel.member == number for spot in panel.loop]
        if spots:
            shapes.append(hull(spots))
    return shapes


def _lies_flat(along: Vector, camera: Camera) -> bool:
    return abs(dot(along, camera.toward)) < 0.2


def _is_of(edge: Edge, end: BreakEnd) -> bool:
    return edge.member == end.member and in_plane(edge, end.along, end.reach_mm)


def _cut_height(geometry: Geometry) -> float:
    """The middle of what members a and b share in height, or the nearest tenon or hole to it."""
    a, b = geometry.member("a"), geometry.member("b")
    spans = [_extent(a), _extent(b)]
    middle = (max(span[0] for span in spans) + min(span[1] for span in spans)) / 2
    inner = [
        solid.extent(Y)
        for solid in b.solids
        if any(solid.within(other) == solid for other in a.blank)
    ]
    worked = [((low + high) / 2, low, high) for low, high in inner]
    worked += [
        (hole.mouth[1], hole.mouth[1] - 1e-6, hole.mouth[1] + 1e-6)
        for member in geometry.members
        for hole in member.holes
        if abs(hole.direction[1]) < 0.1
    ]
    if not worked or any(low < middle < high for _, low, high in worked):
        return middle
    return min(worked, key=lambda place: (abs(place[0] - middle), place[0]))[0]


def _extent(member: Member) -> tuple[float, float]:
    spans = [solid.extent(Y) for solid in member.solids]
    return min(low for low, _ in spans), max(high for _, high in spans)


def _scale(geometry: Geometry, fit_px: float) -> float:
    corners = [
        corner for member in geometry.members for solid in member.blank for corner in solid.vertices
    ]
    sizes = [
        max(corner[axis] for corner in corners) - min(corner[axis] for corner in corners)
        for axis in range(3)
    ]
    return fit_px / max(*sizes, 1e-6)


def _title(geometry: Geometry, which: View, unit: str) -> str:
    lengths = [
        f"{one.label} {figure(one.value_mm, unit)}"
        for one in geometry.dimensions
        if one.view == which
    ]
    words = "millimetres" if unit == "mm" else "inches"
    opening = f"{_NAMES[which]}, dimensions in {words}"
    return f"{opening}: {', '.join(lengths)}" if lengths else opening


def _shifted(spot: Spot, by: Spot, sign: float) -> Spot:
    return spot[0] + by[0] * sign, spot[1] + by[1] * sign


def _data(strokes: Sequence[Stroke]) -> str:
    return "".join(line(*stroke) for stroke in strokes)
