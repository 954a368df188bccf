"""Reading a drawing back: where its words stand, and where its lines go."""

import re
from dataclasses import dataclass
from math import cos, radians, sin
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"
TEXT_PX = 13.0
DIGIT_EM = 0.55
ASCENT_EM, DESCENT_EM = 0.72, 0.18
_TOKEN = re.compile(r"[A-Za-z]|-?\d+(?:\.\d+)?")
_TURN = re.compile(r"translate\((\S+) (\S+)\) rotate\((\S+)\)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """A text of a drawing with the corners of its box."""

    text: str
    classes: str
    corners: tuple[tuple[float, float], ...]


def root_of(svg):
    """The drawing as a tree; raises if it is not well formed."""
    return ElementTree.fromstring(svg)


def frame_of(svg):
    """The viewBox as left, top, right, foot."""
    left, top, width, height = map(float, root_of(svg).get("viewBox").split())
    return left, top, left + width, top + height


def words_of(svg):
    """Every text with the box that it takes."""
    found = []
    for item in root_of(svg).iter(f"{SVG}text"):
        text = item.text or ""
        wide = len(text) * DIGIT_EM * TEXT_PX
        turn = 0.0
        if item.get("transform"):
            x, y, turn = map(float, _TURN.match(item.get("transform")).groups())
        else:
            x, y = float(item.get("x")), float(item.get("y"))
        shift = {"start": 0.0, "middle": -wide / 2, "end": -wide}[item.get("text-anchor")]
        c, s = cos(radians(turn)), sin(radians(turn))
        local = [
            (shift, -ASCENT_EM * TEXT_PX),
            (shift + wide, -ASCENT_EM * TEXT_PX),
            (shift + wide, DESCENT_EM * TEXT_PX),
            (shift, DESCENT_EM * TEXT_PX),
        ]
        corners = tuple((x + u * c - v * s, y + u * s + v * c) for u, v in local)
        found.append(Words(text=text, classes=item.get("class"), corners=corners))
    return found


def points_of(svg, classes=None):
    """The end points of everything drawn by paths, or by the paths of one class."""
    points = []
    for item in root_of(svg).iter(f"{SVG}path"):
        if classes is None or item.get("class") == classes:
            for stroke in strokes_in(item.get("d")):
                points.extend(stroke)
    return points


def strokes_in(data):
    """The strokes of a path's data, each as its end points; curves are taken as their chords."""
    tokens = _TOKEN.findall(data)
    strokes, here, start, place = [], (0.0, 0.0), (0.0, 0.0), 0
    command = ""

    def take(count):
        nonlocal place
        values = [float(token) for token in tokens[place : place + count]]
        place += count
        return values

    while place < len(tokens):
        if tokens[place].isalpha():
            command = tokens[place]
            place += 1
        if command == "M":
            here = start = tuple(take(2))
            command = "L"
            continue
        if command == "L":
            there = tuple(take(2))
        elif command == "q":
            values = take(4)
            there = (here[0] + values[2], here[1] + values[3])
        elif command == "A":
            there = tuple(take(7)[5:])
        elif command == "Z":
            there = start
        else:
            raise AssertionError(f"unexpected command {command}")
        strokes.append((here, there))
        here = there
    return strokes


def is_within(spot, frame):
    """Whether a spot lies in a frame."""
    return frame[0] <= spot[0] <= frame[2] and frame[1] <= spot[1] <= frame[3]


def overlap(one, other):
    """Whether two convex quadrilaterals overlap by more than a touch, by separating axes."""
    for quad in (one, other):
        for (u0, v0), (u1, v1) in zip(quad, quad[1:] + quad[:1], strict=True):
            normal = (v1 - v0, u0 - u1)
            mine = [normal[0] * u + normal[1] * v for u, v in one]
            theirs = [normal[0] * u + normal[1] * v for u, v in other]
            size = (normal[0] ** 2 + normal[1] ** 2) ** 0.5
            if min(max(mine), max(theirs)) - max(min(mine), min(theirs)) <= 0.2 * size:
                return False
    return True
