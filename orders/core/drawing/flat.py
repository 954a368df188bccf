"""Convex polygons, boxes and intervals on the sheet."""

from collections.abc import Iterable, Sequence

from orders.core.drawing.projection import Spot

Loop = list[Spot]
Fence = tuple[float, float, float]
Span = tuple[float, float]
Box = tuple[float, float, float, float]

LEAST_AREA = 1e-3


def signed_area(loop: Sequence[Spot]) -> float:
    """Area of a loop, positive if it turns from the across axis to the down axis."""
    total = 0.0
    before = loop[-1]
    for here in loop:
        total += before[0] * here[1] - here[0] * before[1]
        before = here
    return total / 2


def fences_of(loop: Sequence[Spot]) -> list[Fence]:
    """Half planes (a, b, c) of a positive convex loop: a across + b down <= c is inside."""
    fences = []
    before = loop[-1]
    for here in loop:
        a, b = here[1] - before[1], before[0] - here[0]
        length = (a * a + b * b) ** 0.5
        if length > 1e-9:
            a, b = a / length, b / length
            fences.append((a, b, a * here[0] + b * here[1]))
        before = here
    return fences


def box_of(points: Iterable[Spot]) -> Box:
    """The upright box (left, top, right, foot) around some points."""
    spots = list(points)
    across = [spot[0] for spot in spots]
    down = [spot[1] for spot in spots]
    return min(across), min(down), max(across), max(down)


def grown(box: Box, by: float) -> Box:
    """A box with a margin all round."""
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def around(boxes: Iterable[Box]) -> Box:
    """The box around some boxes."""
    lefts, tops, rights, feet = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(feet)


def boxes_meet(one: Box, other: Box) -> bool:
    """Whether two boxes overlap by more than a touch."""
    return (
        one[0] < other[2] - 1e-9
        and other[0] < one[2] - 1e-9
        and one[1] < other[3] - 1e-9
        and other[1] < one[3] - 1e-9
    )


def box_meets_loop(box: Box, loop: Sequence[Spot]) -> bool:
    """Whether a box overlaps a positive convex loop."""
    if not boxes_meet(box, box_of(loop)):
        return False
    left, top, right, foot = box
    for a, b, c in fences_of(loop):
        if (a * (left if a > 0 else right) + b * (top if b > 0 else foot)) >= c:
            return False
    return True


def segment_meets_box(start: Spot, end: Spot, box: Box) -> bool:
    """Whether a segment runs through a box."""
    low, high = 0.0, 1.0
    for axis in (0, 1):
        way = end[axis] - start[axis]
        near, far = box[axis] - start[axis], box[axis + 2] - start[axis]
        if abs(way) < 1e-12:
            if near > 0 or far < 0:
                return False
            continue
        near, far = near / way, far / way
        low, high = max(low, min(near, far)), min(high, max(near, far))
    return low <= high


def segments_cross(a: Spot, b: Spot, c: Spot, d: Spot) -> bool:
    """Whether two segments cross in their insides."""

    def side(p: Spot, q: Spot, r: Spot) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def clipped(loop: Sequence[Spot], fence: Fence) -> Loop:
    """The part of a convex loop inside a half plane."""
    a, b, c = fence
    kept: Loop = []
    before = loop[-1]
    height_before = a * before[0] + b * before[1] - c
    for here in loop:
        height = a * here[0] + b * here[1] - c
        if (height <= 0) != (height_before <= 0):
            share = height_before / (height_before - height)
            kept.append(
                (
                    before[0] + (here[0] - before[0]) * share,
                    before[1] + (here[1] - before[1]) * share,
                )
            )
        if height <= 0:
            kept.append(here)
        before, height_before = here, height
    return kept


def without(loop: Loop, fences: Sequence[Fence]) -> list[Loop]:
    """What is left of a convex loop, in convex loops, outside a convex polygon."""
    pieces: list[Loop] = []
    rest = loop
    for fence in fences:
        a, b, c = fence
        heights = [a * spot[0] + b * spot[1] - c for spot in rest]
        if min(heights) >= -1e-9:
            return [loop]
        if max(heights) <= 1e-9:
            continue
        outside = clipped(rest, (-a, -b, -c))
        if len(outside) >= 3 and abs(signed_area(outside)) > LEAST_AREA:
            pieces.append(outside)
        rest = clipped(rest, fence)
        if len(rest) < 3:
            return [loop]
    if abs(signed_area(rest)) <= LEAST_AREA:
        return [loop]
    return pieces


def hull(points: Iterable[Spot]) -> Loop:
    """The positive convex hull of some points."""
    ordered = sorted({(round(u, 6), round(v, 6)) for u, v in points})
    if len(ordered) < 3:
        return ordered

    def half(spots: Sequence[Spot]) -> Loop:
        chain: Loop = []
        for spot in spots:
            while len(chain) >= 2 and signed_area([chain[-2], chain[-1], spot]) <= 0:
                chain.pop()
            chain.append(spot)
        return chain

    lower, upper = half(ordered), half(ordered[::-1])
    return lower[:-1] + upper[:-1]


def joined(spans: Iterable[Span], slack: float = 1e-6) -> list[Span]:
    """Intervals with those that overlap or touch made one."""
    merged: list[Span] = []
    for low, high in sorted(spans):
        if merged and low <= merged[-1][1] + slack:
            merged[-1] = (merged[-1][0], max(merged[-1][1], high))
        else:
            merged.append((low, high))
    return merged


def spans_without(span: Span, taken: Iterable[Span]) -> list[Span]:
    """What is left of an interval outside some others."""
    left = []
    low = span[0]
    for start, end in joined(taken):
        if end <= low:
            continue
        if start >= span[1]:
            break
        if start > low:
            left.append((low, start))
        low = end
    if low < span[1]:
        left.append((low, span[1]))
    return left


def line_in_loop(start: Spot, way: Spot, fences: Sequence[Fence]) -> Span | None:
    """The stretch of a line inside a convex polygon, in units of `way`."""
    low, high = -1e9, 1e9
    for a, b, c in fences:
        speed = a * way[0] + b * way[1]
        room = c - a * start[0] - b * start[1]
        if abs(speed) < 1e-12:
            if room < 0:
                return None
        elif speed > 0:
            high = min(high, room / speed)
        else:
            low = max(low, room / speed)
        if low >= high:
            return None
    return low, high


def inside(spot: Spot, fences: Sequence[Fence], slack: float = 1e-9) -> bool:
    """Whether a spot lies in a convex polygon."""
    return all(a * spot[0] + b * spot[1] <= c + slack for a, b, c in fences)
