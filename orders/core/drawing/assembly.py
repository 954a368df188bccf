"""An assembly in line work: every piece in its place, hidden lines removed, each part named once."""

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

from orders.core.drawing.dimensions import figure
from orders.core.drawing.faces import faces_svg
from orders.core.drawing.flat import around, box_of, grown
from orders.core.drawing.isometric import anchor, silhouettes
from orders.core.drawing.labels import Label, place
from orders.core.drawing.lines import Stroke, drawn, edges_of, merged
from orders.core.drawing.projection import ISOMETRIC
from orders.core.drawing.scene import Scene, scene_of
from orders.core.drawing.svg import drawing, line, path
from orders.core.lengths import LengthUnit
from orders.core.pattern import Axis, Piece
from orders.core.solids import Member
from orders.core.vectors import Vector, X, Y, Z

FIT_PX = 420.0
MARGIN = 5.0
LEAST_SHOWN = 4.0
IN_WORDS = "{title}, {sizes} wide, high and deep"
STILL: Vector = (0.0, 0.0, 0.0)
GRAINS: Mapping[Axis, Vector] = {Axis.X: X, Axis.Y: Y, Axis.Z: Z}


def assembly(
    pieces: Sequence[Piece],
    *,
    ident: str = "assembly",
    title: str = "",
    unit: LengthUnit | str = LengthUnit.MM,
    with_marks: bool = True,
    fit_px: float = FIT_PX,
    said: str = IN_WORDS,
) -> str:
    """Pieces as they stand, as SVG; where `with_marks`, one piece of every part is named.

    `fit_px` is the greatest extent of the wood on the sheet. `ident` must be the only one of its
    kind on the page. `said` is the drawing in words, with places for its title and its sizes.
    """
    plain = "mm" if str(unit) == "mm" else "inch"
    return _assembly(tuple(pieces), ident, title, plain, with_marks, fit_px, said)


@lru_cache(maxsize=256)
def _assembly(
    pieces: tuple[Piece, ...],
    ident: str,
    title: str,
    unit: str,
    with_marks: bool,
    fit_px: float,
    said: str,
) -> str:
    members = [_member(number, piece) for number, piece in enumerate(pieces)]
    corners = [corner for member in members for corner in member.solids[0].vertices]
    left, top, right, foot = box_of(ISOMETRIC.spot(corner) for corner in corners)
    camera = ISOMETRIC.at_scale(fit_px / max(right - left, foot - top, 1e-6))
    scene = scene_of(camera, members, [STILL] * len(members))
    shapes = silhouettes(scene)
    frame = around(box_of(shape) for shape in shapes)
    labels = place(_labels(scene, pieces) if with_marks else [], shapes, [], frame)
    box = grown(around([frame, *(label.box for label in labels)]), MARGIN)
    sizes = " × ".join(
        figure(
            max(corner[axis] for corner in corners) - min(corner[axis] for corner in corners), unit
        )
        for axis in range(3)
    )
    words = said.format(title=title or "Assembly", sizes=sizes)
    body = [*_body(scene), *(label.svg() for label in labels)]
    return drawing("iso", ident, words, box, body)


def _member(number: int, piece: Piece) -> Member:
    solid = piece.block.solid
    return Member(
        key=str(number),
        label=piece.name,
        grain=GRAINS[piece.grain],
        solids=(solid,),
        blank=(solid,),
    )


def _body(scene: Scene) -> Iterator[str]:
    yield from faces_svg(scene)
    outline: list[Stroke] = []
    crease: list[Stroke] = []
    for edge in edges_of(scene):
        strokes = drawn(scene, edge)
        outline.extend(strokes.outline)
        crease.extend(strokes.crease)
    outline = merged(outline)
    yield path("d-thin", "".join(line(*stroke) for stroke in merged(crease, outline)))
    yield path("d-heavy", "".join(line(*stroke) for stroke in outline))


def _labels(scene: Scene, pieces: Sequence[Piece]) -> list[Label]:
    """One label a part, on the piece of it that shows best; what is hidden has none."""
    best: dict[tuple[str, str], tuple[float, Label]] = {}
    for number, piece in enumerate(pieces):
        spot = anchor(scene, number, cut=False)
        shown = max(
            (
                min(right - left, foot - top)
                for panel in scene.panels
                if panel.member == number
                for left, top, right, foot in map(box_of, panel.pieces)
            ),
            default=0.0,
        )
        if spot is None or shown < LEAST_SHOWN:
            continue
        key = (piece.assembly, piece.mark)
        label = Label(words=f"{piece.mark} {piece.name}", anchor=spot)
        if key not in best or shown > best[key][0] + 1e-6:
            best[key] = (shown, label)
    return [label for _, label in best.values()]
