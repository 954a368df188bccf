"""Leader labels: words beside a drawing, each with a line to what it names, none over another."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from orders.core.drawing.dimensions import figure
from orders.core.drawing.flat import (
    Box,
    Loop,
    box_meets_loop,
    box_of,
    boxes_meet,
    grown,
    segment_meets_box,
    segments_cross,
)
from orders.core.drawing.projection import Spot
from orders.core.drawing.svg import TEXT_PX, line, number, path, text, text_width
from orders.core.solids import Geometry

MEASURES = ("thickness", "width", "length", "depth")
RECESSES = {"mortise", "groove", "housing", "rebate", "socket", "slot"}
JOG = 12.0
GAP = 3.0
ROOM = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """What to write, and the spot it is about."""

    words: str
    anchor: Spot


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A label with its place: the box of its words and the bends of its leader."""

    label: Label
    box: Box
    leader: tuple[Spot, Spot, Spot]
    is_right: bool

    def svg(self, size: float = TEXT_PX) -> str:
        """The leader, its dot and the words."""
        spot = self.label.anchor
        base = (self.box[0] if self.is_right else self.box[2], self.leader[2][1] + size * 0.33)
        return (
            path("d-leader", line(*self.leader))
            + f'<circle class="d-dot" cx="{number(spot[0])}" cy="{number(spot[1])}" r="1.6"/>'
            + text("d-label", self.label.words, base, anchor="start" if self.is_right else "end")
        )


def key_sizes(geometry: Geometry, unit: str) -> dict[str, list[str]]:
    """The joint's own sizes in words, such as "tenon 15 × 70 × 50", by the member that has them.

    They are read off the lengths the bench works to: what has a thickness, a width and a length,
    or two of them, is told in one. The sizes of the parts themselves are left out.
    """
    parts = {member.label for member in geometry.members}
    found: dict[str, dict[str, float]] = {}
    for one in geometry.dimensions:
        thing, _, measure = one.label.rpartition(" ")
        if measure in MEASURES and thing not in parts:
            found.setdefault(thing, {}).setdefault(measure, one.value_mm)
    sizes: dict[str, list[str]] = {}
    for thing, values in found.items():
        if len(values) > 1:
            ordered = sorted(values, key=MEASURES.index)
            key = "a" if thing in RECESSES else "b"
            words = " × ".join(figure(values[measure], unit) for measure in ordered)
            sizes.setdefault(key, []).append(f"{thing} {words}")
    return sizes


def place(
    labels: Sequence[Label],
    shapes: Sequence[Loop],
    strands: Sequence[tuple[Spot, Spot]],
    frame: Box,
    size: float = TEXT_PX,
) -> list[Placed]:
    """Find room for every label beside the shapes and off the strands, near what it names.

    What finds no room near by goes into a column right of the frame, where there always is some.
    """
    placed: list[Placed] = []
    boxes = [box_of(shape) for shape in shapes]
    for label in sorted(labels, key=lambda item: (item.anchor[1], item.anchor[0])):
        best: tuple[float, Placed] | None = None
        for cost, candidate in _candidates(label, frame, size):
            if best is not None and cost >= best[0]:
                break
            if _is_clear(candidate, placed, shapes, boxes, strands):
                crossing = sum(
                    segment_meets_box(candidate.leader[1], candidate.leader[2], grown(box, 2))
                    for box in boxes
                )
                cost += 4 * crossing
                if best is None or cost < best[0]:
                    best = (cost, candidate)
        placed.append(best[1] if best else _in_column(label, placed, frame, size))
    return placed


def _candidates(label: Label, frame: Box, size: float) -> Iterator[tuple[float, Placed]]:
    """Places for a label, the cheapest first: near what it names, and within the frame."""
    u, v = label.anchor
    near = JOG + GAP
    far = near + text_width(label.words, size)
    found = []
    for rise in (-26, -44, -66, -92, -124, -160, -200, 26, 44, 66, 92, 124, 160, 200, 0):
        top, foot = v + rise - size * 0.55, v + rise + size * 0.6
        tall = max(0.0, foot - frame[3]) + max(0.0, frame[1] - top)
        height = abs(rise) + 1.6 * tall + 14 * (rise > 0)
        for run in (18, 34, 54, 78, 108, 144, 186, 232):
            for is_right in (True, False):
                edge = u + run + far if is_right else u - run - far
                over = edge - frame[2] if is_right else frame[0] - edge
                cost = height + 0.9 * run + 0.8 * max(0.0, over) + 10 * (not is_right)
                found.append((cost, rise, run, is_right))
    for cost, rise, run, is_right in sorted(found, key=lambda each: each[0]):
        elbow = (u + (run if is_right else -run), v + rise)
        yield cost, _placed(label, elbow, size, right=is_right)


def _placed(label: Label, elbow: Spot, size: float, right: bool = True) -> Placed:
    sign = 1 if right else -1
    wide = text_width(label.words, size)
    end = (elbow[0] + sign * JOG, elbow[1])
    near = end[0] + sign * GAP
    left = near if right else near - wide
    box = (left, elbow[1] - size * 0.55, left + wide, elbow[1] + size * 0.6)
    return Placed(label=label, box=box, leader=(label.anchor, elbow, end), is_right=right)


def _is_clear(
    candidate: Placed,
    placed: Sequence[Placed],
    shapes: Sequence[Loop],
    boxes: Sequence[Box],
    strands: Sequence[tuple[Spot, Spot]],
) -> bool:
    wide = grown(candidate.box, ROOM)
    if any(segment_meets_box(start, end, wide) for start, end in strands):
        return False
    for shape, box in zip(shapes, boxes, strict=True):
        if boxes_meet(wide, box) and box_meets_loop(wide, shape):
            return False
    for other in placed:
        if boxes_meet(wide, grown(other.box, ROOM)):
            return False
        for one, two in _runs(candidate):
            if segment_meets_box(one, two, grown(other.box, 1.5)):
                return False
            for three, four in _runs(other):
                if segments_cross(one, two, three, four):
                    return False
        for three, four in _runs(other):
            if segment_meets_box(three, four, grown(candidate.box, 1.5)):
                return False
    return True


def _runs(placed: Placed) -> tuple[tuple[Spot, Spot], tuple[Spot, Spot]]:
    first, elbow, end = placed.leader
    return (first, elbow), (elbow, end)


def _in_column(label: Label, placed: Sequence[Placed], frame: Box, size: float) -> Placed:
    """Right of everything, at the height of the anchor or the first free one below."""
    right = max([frame[2], *(other.box[2] for other in placed)]) + 8
    height = max([label.anchor[1], *(other.box[3] + size for other in placed)])
    return _placed(label, (right, height), size)
