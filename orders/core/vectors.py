"""Points and vectors in three dimensions, as plain tuples of millimetres."""

from collections.abc import Iterable
from math import sqrt

Point = tuple[float, float, float]
Vector = tuple[float, float, float]

X: Vector = (1.0, 0.0, 0.0)
Y: Vector = (0.0, 1.0, 0.0)
Z: Vector = (0.0, 0.0, 1.0)


def plus(a: Vector, b: Vector) -> Vector:
    """The sum of two vectors."""
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def minus(a: Vector, b: Vector) -> Vector:
    """The vector from `b` to `a`."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def times(a: Vector, factor: float) -> Vector:
    """The vector made longer by a factor."""
    return (a[0] * factor, a[1] * factor, a[2] * factor)


def dot(a: Vector, b: Vector) -> float:
    """The scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """The vector product, right-handed."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def norm(a: Vector) -> float:
    """The length of a vector."""
    return sqrt(dot(a, a))


def unit(a: Vector) -> Vector:
    """The vector of length one in the same direction."""
    return times(a, 1.0 / norm(a))


def middle(points: Iterable[Point]) -> Point:
    """The mean of some points."""
    xs, ys, zs = zip(*points, strict=True)
    count = len(xs)
    return (sum(xs) / count, sum(ys) / count, sum(zs) / count)


def area_vector(loop: Iterable[Point]) -> Vector:
    """Normal to a plane loop, as long as the loop's area is large (Newell's sum)."""
    corners = iter(loop)
    x0, y0, z0 = next(corners)
    x, y, z = next(corners)
    ax, ay, az = x - x0, y - y0, z - z0
    across = up = out = 0.0
    for x, y, z in corners:
        bx, by, bz = x - x0, y - y0, z - z0
        across += ay * bz - az * by
        up += az * bx - ax * bz
        out += ax * by - ay * bx
        ax, ay, az = bx, by, bz
    return (across / 2, up / 2, out / 2)


def square_to(axis: Vector) -> tuple[Vector, Vector]:
    """Two unit vectors square to a unit axis and to each other, right-handed with it."""
    helper = min((Z, Y, X), key=lambda candidate: abs(dot(candidate, axis)))
    first = unit(cross(helper, axis))
    return first, cross(axis, first)
