"""Line work on faces: broken lines along the fibre, rings of end grain, hatching of recesses.

All of it is clipped to the visible pieces of a face, and depends on nothing but the face, so that
the same joint is always drawn the same.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, cos, degrees, hypot, pi, sin, sqrt

from orders.core.drawing.flat import (
    Loop,
    Span,
    box_of,
    fences_of,
    inside,
    joined,
    line_in_loop,
    signed_area,
)
from orders.core.drawing.projection import Camera, Spot
from orders.core.drawing.svg import number
from orders.core.vectors import Point, Vector, dot, minus, plus, times

LINE_STEP = 8.0
RING_STEP = 4.4
HATCH_STEP = 3.0
FLOOR_STEP = 2.2
MOST_RINGS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Pith:
    """The heart of the stem that a member was cut from: a line along the grain, outside it."""

    at: Point
    across: Vector
    up: Vector
    grain: Vector
    inner_mm: float
    outer_mm: float


def chance(*numbers: int) -> float:
    """A number from 0 to 1 that depends on whole numbers alone."""
    state = 0x9E3779B9
    for item in numbers:
        state = ((state ^ (item & 0xFFFFFFFF)) * 0x85EBCA6B) & 0xFFFFFFFF
        state ^= state >> 13
        state = (state * 0xC2B2AE35) & 0xFFFFFFFF
        state ^= state >> 16
    return state / 0xFFFFFFFF


def pith_of(corners: Sequence[Point], grain: Vector, frame: tuple[Vector, Vector]) -> Pith:
    """Where the pith of a member lies: below the middle of its wider face."""
    one, other = frame
    reach_one = _reach([dot(corner, one) for corner in corners])
    reach_other = _reach([dot(corner, other) for corner in corners])
    if reach_one[1] - reach_one[0] < reach_other[1] - reach_other[0]:
        one, other, reach_one, reach_other = (
            other,
            times(one, -1.0),
            reach_other,
            (
                -reach_one[1],
                -reach_one[0],
            ),
        )
    wide, thick = reach_one[1] - reach_one[0], reach_other[1] - reach_other[0]
    below = reach_other[0] - 0.35 * thick - 0.12 * wide
    middle = reach_one[0] + 0.46 * wide
    at = plus(times(one, middle), times(other, below))
    inner = reach_other[0] - below
    outer = hypot(reach_other[1] - below, 0.54 * wide)
    return Pith(at=at, across=one, up=other, grain=grain, inner_mm=inner, outer_mm=outer)


def slightness(pieces: Sequence[Loop]) -> float:
    """About how wide a face is across its length, on the sheet."""
    left, top, right, foot = box_of(spot for piece in pieces for spot in piece)
    extent = sum(abs(signed_area(piece)) for piece in pieces)
    return extent / max(hypot(right - left, foot - top), 1e-9)


def fibre(pieces: Sequence[Loop], way: Spot, seed: int, step: float = LINE_STEP) -> str:
    """Sparse broken lines along a direction on the sheet."""
    length = hypot(*way)
    if length < 1e-6 or not pieces:
        return ""
    along = (way[0] / length, way[1] / length)
    aside = (-along[1], along[0])
    fenced = [(fences_of(piece), _reach([_at(spot, aside) for spot in piece])) for piece in pieces]
    low = min(reach[0] for _, reach in fenced)
    high = max(reach[1] for _, reach in fenced)
    room = high - low
    if room < 3.5:
        return ""
    count = max(1, round(room / step))
    pitch = room / count
    parts = []
    for line in range(count):
        shift = (chance(seed, line, 1) - 0.5) * 0.55 if count > 1 else 0.0
        offset = low + (line + 0.5 + shift) * pitch
        base = (aside[0] * offset, aside[1] * offset)
        spans = []
        for fences, reach in fenced:
            if reach[0] < offset < reach[1]:
                span = line_in_loop(base, along, fences)
                if span is not None:
                    spans.append(span)
        for span in joined(spans, slack=0.05):
            parts.extend(_dashes(base, along, aside, span, seed, line))
    return "".join(parts)


def _dashes(base: Spot, along: Spot, aside: Spot, span: Span, seed: int, line: int) -> list[str]:
    start, end = span[0] + 1.6, span[1] - 1.6
    parts = []
    turn = 0
    here = start - 34 * chance(seed, line, 2)
    while here < end:
        stroke = 20 + 34 * chance(seed, line, turn, 3)
        gap = 6 + 9 * chance(seed, line, turn, 4)
        low, high = max(here, start), min(here + stroke, end)
        if high - low > 3:
            bow = (chance(seed, line, turn, 5) - 0.5) * min(1.9, (high - low) / 12)
            half = (high - low) / 2
            parts.append(
                f"M{number(base[0] + along[0] * low)} {number(base[1] + along[1] * low)}"
                f"q{number(along[0] * half + aside[0] * bow)}"
                f" {number(along[1] * half + aside[1] * bow)}"
                f" {number(along[0] * 2 * half)} {number(along[1] * 2 * half)}"
            )
        here += stroke + gap
        turn += 1
    return parts


def hatch(pieces: Sequence[Loop], *, is_floor: bool, rising: bool = True) -> str:
    """Close diagonal lines, closer on a floor than on a wall."""
    if not pieces:
        return ""
    c = sqrt(0.5)
    along = (c, -c) if rising else (c, c)
    aside = (c, c) if rising else (-c, c)
    extent = sum(abs(signed_area(piece)) for piece in pieces)
    step = (FLOOR_STEP if is_floor else HATCH_STEP) * min(1.9, max(1.0, sqrt(extent) / 55))
    fenced = [(fences_of(piece), _reach([_at(spot, aside) for spot in piece])) for piece in pieces]
    low = min(reach[0] for _, reach in fenced)
    high = max(reach[1] for _, reach in fenced)
    parts = []
    for line in range(int(low // step), int(high // step) + 1):
        offset = (line + 0.5) * step
        base = (aside[0] * offset, aside[1] * offset)
        spans = []
        for fences, reach in fenced:
            if reach[0] < offset < reach[1]:
                span = line_in_loop(base, along, fences)
                if span is not None:
                    spans.append(span)
        for start, end in joined(spans, slack=0.05):
            if end - start > 0.5:
                parts.append(
                    f"M{number(base[0] + along[0] * start)} {number(base[1] + along[1] * start)}"
                    f"L{number(base[0] + along[0] * end)} {number(base[1] + along[1] * end)}"
                )
    return "".join(parts)


def rings(
    pieces: Sequence[Loop],
    camera: Camera,
    pith: Pith,
    plane_normal: Vector,
    plane_offset: float,
    move: Vector,
    seed: int,
) -> str:
    """Growth rings about the pith, as true ellipses, with a few short rays across them."""
    lean = dot(plane_normal, pith.grain)
    if abs(lean) < 1e-3 or not pieces:
        return ""
    at = plus(pith.at, move)
    heart3 = plus(at, times(pith.grain, (plane_offset - dot(plane_normal, at)) / lean))
    heart = camera.spot(heart3)
    one = _slid(camera, pith.across, pith.grain, plane_normal, lean)
    other = _slid(camera, pith.up, pith.grain, plane_normal, lean)
    long_axis, short_axis, turn, is_positive = _ellipse(one, other)
    if short_axis < 1e-6:
        return ""
    step = RING_STEP / max(short_axis, 0.45 * long_axis)
    count = min(MOST_RINGS, int((pith.outer_mm - pith.inner_mm) / step) + 1)
    step = max(step, (pith.outer_mm - pith.inner_mm) / MOST_RINGS)
    fenced = [fences_of(piece) for piece in pieces]
    tail = f" {number(turn)} "
    parts = []
    for ring in range(count + 1):
        radius = pith.inner_mm + (ring + 0.35 + 0.4 * (chance(seed, ring) - 0.5)) * step
        size = f"A{number(radius * long_axis)} {number(radius * short_axis)}{tail}"
        for low, high in _arcs(heart, one, other, radius, fenced):
            if (high - low) * radius * long_axis < 1.5:
                continue
            start, end = _on(heart, one, other, radius, low), _on(heart, one, other, radius, high)
            large = 1 if high - low > pi else 0
            parts.append(
                f"M{number(start[0])} {number(start[1])}{size}{large} {1 if is_positive else 0}"
                f" {number(end[0])} {number(end[1])}"
            )
    parts.extend(_rays(heart, one, other, pith, step, pieces, fenced, seed))
    return "".join(parts)


def _rays(
    heart: Spot,
    one: Spot,
    other: Spot,
    pith: Pith,
    step: float,
    pieces: Sequence[Loop],
    fenced: Sequence[Sequence[tuple[float, float, float]]],
    seed: int,
) -> list[str]:
    extent = sum(abs(signed_area(piece)) for piece in pieces)
    parts = []
    for ray in range(min(5, int(extent / 420))):
        angle = pi / 2 + (chance(seed, ray, 7) - 0.5) * 1.9
        radius = pith.inner_mm + chance(seed, ray, 8) * (pith.outer_mm - pith.inner_mm)
        start = _on(heart, one, other, radius, angle)
        end = _on(heart, one, other, radius + 1.7 * step, angle)
        if any(inside(start, fences) and inside(end, fences) for fences in fenced):
            parts.append(
                f"M{number(start[0])} {number(start[1])}L{number(end[0])} {number(end[1])}"
            )
    return parts


def _slid(camera: Camera, way: Vector, grain: Vector, normal: Vector, lean: float) -> Spot:
    """A direction square to the grain, slid along the grain into a plane, on the sheet."""
    in_plane = minus(way, times(grain, dot(normal, way) / lean))
    return camera.spot(in_plane)


def _ellipse(one: Spot, other: Spot) -> tuple[float, float, float, bool]:
    """Half axes, turn in degrees and sense of the image of a unit circle."""
    e, f = (one[0] + other[1]) / 2, (one[0] - other[1]) / 2
    g, h = (one[1] + other[0]) / 2, (one[1] - other[0]) / 2
    q, r = hypot(e, h), hypot(f, g)
    turn = (atan2(g, f) + atan2(h, e)) / 2
    return q + r, abs(q - r), degrees(turn), one[0] * other[1] - one[1] * other[0] > 0


def _on(heart: Spot, one: Spot, other: Spot, radius: float, angle: float) -> Spot:
    c, s = radius * cos(angle), radius * sin(angle)
    return heart[0] + c * one[0] + s * other[0], heart[1] + c * one[1] + s * other[1]


def _arcs(
    heart: Spot,
    one: Spot,
    other: Spot,
    radius: float,
    fenced: Sequence[Sequence[tuple[float, float, float]]],
) -> list[Span]:
    """The stretches of an ellipse, as angles, inside convex polygons."""
    spans: list[Span] = []
    for fences in fenced:
        marks = [-pi / 2]
        is_outside = False
        for a, b, c in fences:
            p, q = radius * (a * one[0] + b * one[1]), radius * (a * other[0] + b * other[1])
            room = c - a * heart[0] - b * heart[1]
            size = hypot(p, q)
            if size <= abs(room):
                if room < 0:
                    is_outside = True
                    break
                continue
            middle, half = atan2(q, p), _arc_cosine(room / size)
            marks.extend((middle - half, middle + half))
        if is_outside:
            continue
        turned = sorted((mark + pi / 2) % (2 * pi) - pi / 2 for mark in marks)
        turned.append(turned[0] + 2 * pi)
        for low, high in pairwise(turned):
            if high - low > 1e-6 and inside(
                _on(heart, one, other, radius, (low + high) / 2), fences
            ):
                spans.append((low, high))
    return joined(spans, slack=1e-3)


def _arc_cosine(share: float) -> float:
    return atan2(sqrt(max(0.0, 1 - share * share)), share)


def _reach(values: Sequence[float]) -> Span:
    return min(values), max(values)


def _at(spot: Spot, axis: Spot) -> float:
    return spot[0] * axis[0] + spot[1] * axis[1]
