"""Parallel projection: from points in millimetres to the sheet, and back to a depth."""

from dataclasses import dataclass
from math import cos, radians

from orders.core.solids import Plane, View
from orders.core.vectors import Point, Vector, X, Y, Z, cross, dot, times

Spot = tuple[float, float]
Seen = tuple[float, float, float]

_COS_30 = cos(radians(30))


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """A way of looking: `across` and `down` span the sheet, `toward` points at the eye.

    The sheet's second axis runs downward, as in SVG. A seen point is (across, down, nearness).
    """

    across: Vector
    down: Vector
    toward: Vector
    scale: float = 1.0

    def at_scale(self, scale: float) -> "Camera":
        """The same way of looking, with so many units of the sheet to the millimetre."""
        return Camera(across=self.across, down=self.down, toward=self.toward, scale=scale)

    def seen(self, point: Point) -> Seen:
        """Where a point falls on the sheet, and how near the eye it is."""
        x, y, z = point
        a, d, t, s = self.across, self.down, self.toward, self.scale
        return (
            s * (a[0] * x + a[1] * y + a[2] * z),
            s * (d[0] * x + d[1] * y + d[2] * z),
            s * (t[0] * x + t[1] * y + t[2] * z),
        )

    def spot(self, point: Point) -> Spot:
        """Where a point falls on the sheet."""
        seen = self.seen(point)
        return seen[0], seen[1]

    def faces(self, normal: Vector) -> bool:
        """Whether a face with this outward normal is turned to the eye."""
        return dot(normal, self.sight) > 1e-6

    @property
    def sight(self) -> Vector:
        """The line of sight, toward the eye: all its points fall on one spot."""
        line = cross(self.down, self.across)
        return line if dot(line, self.toward) > 0 else times(line, -1.0)

    def depth_of(self, plane: Plane) -> Seen:
        """A plane as nearness over the sheet: (k, l, m) with nearness = k across + l down + m.

        The plane must not be seen edge on.
        """
        a, d, t = self.across, self.down, self.toward
        volume = dot(a, cross(d, t))
        n = plane.normal
        by_across = dot(n, cross(d, t)) / volume
        by_down = dot(n, cross(t, a)) / volume
        by_toward = dot(n, cross(a, d)) / volume
        return (
            -by_across / by_toward,
            -by_down / by_toward,
            plane.offset * self.scale / by_toward,
        )


ISOMETRIC = Camera(across=(_COS_30, 0.0, -_COS_30), down=(0.5, -1.0, 0.5), toward=(1.0, 1.0, 1.0))

VIEWS = {
    View.FRONT: Camera(across=X, down=times(Y, -1.0), toward=Z),
    View.TOP: Camera(across=X, down=Z, toward=Y),
    View.SIDE: Camera(across=times(Z, -1.0), down=times(Y, -1.0), toward=X),
}
