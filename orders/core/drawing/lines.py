"""The edges of a scene: which stretches of them are visible, which are hidden, which are outline."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, cos, hypot, sin

from orders.core.drawing.flat import Span, joined, line_in_loop, spans_without
from orders.core.drawing.projection import Seen, Spot
from orders.core.drawing.scene import TOUCH, Panel, Scene, Side
from orders.core.vectors import Point, dot, minus, norm, plus, times

SLACK = 1e-3
LEAST_LENGTH = 0.05
PROBE = 0.3
Stroke = tuple[Spot, Spot]


@dataclass(slots=True, kw_only=True)
class Edge:
    """A stretch of a member's edge with the same surfaces along all of it."""

    member: int
    start: Point
    end: Point
    sides: tuple[Side, ...]

    @property
    def may_show(self) -> bool:
        """Whether any surface along it is turned to the eye."""
        return any(side.is_seen for side in self.sides)


@dataclass(slots=True, kw_only=True)
class Drawn:
    """An edge cut into visible and hidden strokes; outline strokes have depth behind them."""

    edge: Edge
    outline: list[Stroke]
    crease: list[Stroke]
    hidden: list[Stroke]


def edges_of(scene: Scene) -> list[Edge]:
    """Every edge of every member once; the seams of round surfaces only where they are outline."""
    lines: dict[tuple[int, ...], list[tuple[float, float, Side]]] = {}
    frames: dict[tuple[int, ...], tuple[int, Point, Point]] = {}
    for side in scene.sides:
        for start, end in side.edges:
            way = minus(end, start)
            length = norm(way)
            if length < 1e-6:
                continue
            way = times(way, 1.0 / length)
            if way[0] < -1e-9 or (
                abs(way[0]) <= 1e-9 and (way[1] < -1e-9 or (abs(way[1]) <= 1e-9 and way[2] < 0))
            ):
                way, start, end = times(way, -1.0), end, start
            low = dot(start, way)
            foot = minus(start, times(way, low))
            key = (
                side.member,
                *(round(part * 1e4 + 0.137) for part in way),
                *(round(part * 1e2 + 0.137) for part in foot),
            )
            frames.setdefault(key, (side.member, foot, way))
            lines.setdefault(key, []).append((low, low + length, side))
    found: list[Edge] = []
    for key, stretches in lines.items():
        member, foot, way = frames[key]
        for low, high, sides in _elementary(stretches):
            if all(side.is_round for side in sides) and (
                sum(side.is_seen for side in sides) != 1 or len(sides) < 2
            ):
                continue
            found.append(
                Edge(
                    member=member,
                    start=plus(foot, times(way, low)),
                    end=plus(foot, times(way, high)),
                    sides=sides,
                )
            )
    return found


def drawn(scene: Scene, edge: Edge, *, with_hidden: bool = False) -> Drawn:
    """Cut one edge into its strokes on the sheet."""
    start, end = scene.camera.seen(edge.start), scene.camera.seen(edge.end)
    result = Drawn(edge=edge, outline=[], crease=[], hidden=[])
    length = hypot(end[0] - start[0], end[1] - start[1])
    if length < LEAST_LENGTH:
        return result
    visible = visible_spans(scene.panels, start, end) if edge.may_show else []
    for low, high in visible:
        kind = result.outline if _is_outline(scene, edge, start, end, low, high) else result.crease
        kind.append((between(start, end, low), between(start, end, high)))
    if with_hidden:
        least = LEAST_LENGTH / length
        for low, high in spans_without((0.0, 1.0), visible):
            if high - low > 4 * least:
                result.hidden.append((between(start, end, low), between(start, end, high)))
    return result


def visible_spans(panels: Sequence[Panel], start: Seen, end: Seen) -> list[Span]:
    """The stretches of a segment, as shares of its length, that no panel hides."""
    u, v, w = start
    du, dv, dw = end[0] - u, end[1] - v, end[2] - w
    left, right = (u, end[0]) if du > 0 else (end[0], u)
    top, foot = (v, end[1]) if dv > 0 else (end[1], v)
    taken: list[Span] = []
    for panel in panels:
        box = panel.box
        if box[0] > right or box[2] < left or box[1] > foot or box[3] < top:
            continue
        by_u, by_v, base = panel.depth
        lead = by_u * u + by_v * v + base - w - TOUCH
        lead_at_end = lead + by_u * du + by_v * dv - dw
        if lead <= 0 and lead_at_end <= 0:
            continue
        span = line_in_loop((u, v), (du, dv), [(a, b, c + SLACK) for a, b, c in panel.fences])
        if span is None:
            continue
        low, high = max(0.0, span[0]), min(1.0, span[1])
        if lead <= 0:
            low = max(low, lead / (lead - lead_at_end))
        elif lead_at_end <= 0:
            high = min(high, lead / (lead - lead_at_end))
        if low < high:
            taken.append((low, high))
    least = LEAST_LENGTH / max(hypot(du, dv), 1e-9)
    return [(low, high) for low, high in spans_without((0.0, 1.0), taken) if high - low > least]


def merged(strokes: Iterable[Stroke], taken: Iterable[Stroke] = ()) -> list[Stroke]:
    """Strokes with those on one line joined, and whatever runs along `taken` left out."""
    lines: dict[tuple[int, int], tuple[list[Span], list[Span]]] = {}
    for place, group in ((0, strokes), (1, taken)):
        for stroke in group:
            key, span = _on_line(stroke)
            lines.setdefault(key, ([], []))[place].append(span)
    result = []
    for key, (spans, covered) in lines.items():
        angle, offset = key[0] / 1000, key[1] / 50
        c, s = cos(angle), sin(angle)
        wide = [(low - 0.1, high + 0.1) for low, high in covered]
        for span in joined(spans, slack=0.05):
            for low, high in spans_without(span, wide):
                if high - low > 0.4:
                    result.append(
                        (
                            (c * low - s * offset, s * low + c * offset),
                            (c * high - s * offset, s * high + c * offset),
                        )
                    )
    return result


def in_plane(edge: Edge, along: Point, reach: float) -> bool:
    """Whether an edge lies in the plane square to `along` at that reach."""
    return abs(dot(edge.start, along) - reach) < 1e-4 and abs(dot(edge.end, along) - reach) < 1e-4


def _on_line(stroke: Stroke) -> tuple[tuple[int, int], Span]:
    (u0, v0), (u1, v1) = stroke
    angle = atan2(v1 - v0, u1 - u0)
    if angle < -1e-4:
        angle += 3.141592653589793
    elif angle > 3.1414:
        angle = 0.0
    step = round(angle * 1000)
    c, s = cos(step / 1000), sin(step / 1000)
    offset = round((c * (v0 + v1) / 2 - s * (u0 + u1) / 2) * 50)
    ends = (c * u0 + s * v0, c * u1 + s * v1)
    return (step, offset), (min(ends), max(ends))


def _elementary(
    stretches: Sequence[tuple[float, float, Side]],
) -> list[tuple[float, float, tuple[Side, ...]]]:
    """Cut stretches of one line at each other's ends; tell which sides lie along every piece."""
    first = stretches[0]
    if all(
        abs(low - first[0]) < 1e-6 and abs(high - first[1]) < 1e-6 for low, high, _ in stretches
    ):
        return [(first[0], first[1], tuple(side for _, _, side in stretches))]
    marks = sorted({round(mark, 6) for low, high, _ in stretches for mark in (low, high)})
    pieces: list[tuple[float, float, tuple[Side, ...]]] = []
    for low, high in pairwise(marks):
        if high - low < 1e-5:
            continue
        here = (low + high) / 2
        sides = tuple(side for start, end, side in stretches if start < here < end)
        if not sides:
            continue
        if pieces and pieces[-1][1] == low and _same(pieces[-1][2], sides):
            pieces[-1] = (pieces[-1][0], high, sides)
        else:
            pieces.append((low, high, sides))
    return pieces


def _same(one: tuple[Side, ...], other: tuple[Side, ...]) -> bool:
    return len(one) == len(other) and all(a is b for a, b in zip(one, other, strict=True))


def _is_outline(scene: Scene, edge: Edge, start: Seen, end: Seen, low: float, high: float) -> bool:
    """Whether the surface steps back, or another member begins, on either side of a stroke."""
    share = (low + high) / 2
    u, v = between(start, end, share)
    near = start[2] + (end[2] - start[2]) * share
    length = hypot(end[0] - start[0], end[1] - start[1])
    aside_u = -(end[1] - start[1]) / length * PROBE
    aside_v = (end[0] - start[0]) / length * PROBE
    for sign in (1, -1):
        met = scene.top_at((u + sign * aside_u, v + sign * aside_v))
        if met is None or met[0] != edge.member or abs(met[1] - near) > 4 * PROBE:
            return True
    return False


def between(start: Seen, end: Seen, share: float) -> Spot:
    """The spot at a share of the way along a segment."""
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share
