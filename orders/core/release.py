"""What holds dry: the exact set of directions in which member b can begin to leave.

Every contact face forbids the half of all directions that would press into it; what is left is a
convex cone, given by the lines along which b slides both ways and the edges (rays) of the rest.
Glue, friction, pegs and turning are left aside; third members stay with member a.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from orders.core.contact import Contact, Pairing
from orders.core.solids import Geometry
from orders.core.vectors import Vector, X, Y, Z, cross, dot, minus, norm, square_to, times, unit

SLIGHT = 1e-7

AXES: tuple[tuple[str, Vector], ...] = (
    ("+x", X),
    ("-x", times(X, -1.0)),
    ("+y", Y),
    ("-y", times(Y, -1.0)),
    ("+z", Z),
    ("-z", times(Z, -1.0)),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """Where member b can go when the joint is dry.

    `slides` are lines free both ways, `leaves` the edges of the remaining cone; `free_axes` are
    those of the six axis directions that are free. `words` says the same to a person.
    """

    slides: tuple[Vector, ...]
    leaves: tuple[Vector, ...]
    free_axes: tuple[str, ...]
    words: str

    @property
    def held_axes(self) -> tuple[str, ...]:
        """Those of the six axis directions in which b is held."""
        return tuple(name for name, _ in AXES if name not in self.free_axes)

    @property
    def ways(self) -> tuple[Vector, ...]:
        """Every way out that an arrow can show: the edges of the cone, and both ends of slides."""
        return (*self.leaves, *self.slides, *(times(slide, -1.0) for slide in self.slides))

    @property
    def is_locked(self) -> bool:
        """Whether b cannot leave at all."""
        return not self.slides and not self.leaves

    @property
    def is_one_way(self) -> bool:
        """Whether b leaves in exactly one direction."""
        return not self.slides and len(self.leaves) == 1

    @property
    def is_loose(self) -> bool:
        """Whether nothing but one face, or nothing at all, stands in b's way."""
        return len(self.slides) >= 2 and bool(self.leaves or len(self.slides) == 3)


def release(geometry: Geometry, faces: Iterable[Contact]) -> Release:
    """Find how member b can leave, from the faces it shares with every other member."""
    faces = tuple(faces)
    normals = _distinct(
        face.normal if face.to_key == "b" else times(face.normal, -1.0)
        for face in faces
        if "b" in (face.from_key, face.to_key)
    )
    slides, leaves = cone(normals)
    free = tuple(name for name, axis in AXES if _is_free(axis, normals))
    return Release(
        slides=slides,
        leaves=leaves,
        free_axes=free,
        words=_Words(geometry, faces).sentence(slides, leaves),
    )


def cone(normals: Sequence[Vector]) -> tuple[tuple[Vector, ...], tuple[Vector, ...]]:
    """The directions v with n . v >= 0 for every normal n: lines free both ways, and edges."""
    spread = _independent(normals)
    if not spread:
        return (X, Y, Z), ()
    if len(spread) == 1:
        leaves = tuple(ray for ray in (spread[0], times(spread[0], -1.0)) if _is_free(ray, normals))
        return _tidy_plane(spread[0]), leaves
    if len(spread) == 2:
        axis = _signed(unit(cross(spread[0], spread[1])))
        candidates = [unit(cross(axis, normal)) for normal in normals]
        return (axis,), _free_rays(candidates, normals)
    pairs = (cross(one, other) for one, other in combinations(normals, 2))
    return (), _free_rays([unit(pair) for pair in pairs if norm(pair) > SLIGHT], normals)


def _free_rays(candidates: Sequence[Vector], normals: Sequence[Vector]) -> tuple[Vector, ...]:
    both_ways = [*candidates, *(times(ray, -1.0) for ray in candidates)]
    return _distinct(ray for ray in both_ways if _is_free(ray, normals))


def _is_free(direction: Vector, normals: Sequence[Vector]) -> bool:
    return all(dot(direction, normal) >= -SLIGHT for normal in normals)


def _independent(normals: Sequence[Vector]) -> list[Vector]:
    """Orthonormal directions that span the normals."""
    basis: list[Vector] = []
    for normal in normals:
        rest = normal
        for direction in basis:
            rest = minus(rest, times(direction, dot(rest, direction)))
        if norm(rest) > 1e-6:
            basis.append(unit(rest))
    return basis


def _distinct(directions: Iterable[Vector]) -> tuple[Vector, ...]:
    found: dict[tuple[int, ...], Vector] = {}
    for direction in directions:
        key = tuple(round(part * 1e6) for part in direction)
        found.setdefault(key, _tidy(direction))
    return tuple(found.values())


def _tidy(direction: Vector) -> Vector:
    """The same direction without rounding dust and without minus zero."""
    x, y, z = (0.0 if abs(part) < 1e-12 else part for part in direction)
    return (x, y, z)


def _signed(axis: Vector) -> Vector:
    """The one of two opposite directions whose greatest part is positive."""
    greatest = max(axis, key=abs)
    return _tidy(axis if greatest > 0 else times(axis, -1.0))


def _tidy_plane(normal: Vector) -> tuple[Vector, Vector]:
    """Two directions in the plane, along the axes where it lies on them."""
    flat = [axis for axis in (X, Y, Z) if abs(dot(axis, normal)) < SLIGHT]
    if len(flat) == 2:
        return flat[0], flat[1]
    if flat:
        return flat[0], _signed(unit(cross(flat[0], normal)))
    return square_to(normal)


class _Words:
    """The ways of a joint told to a person, by its members and its sloping faces."""

    def __init__(self, geometry: Geometry, faces: Sequence[Contact]) -> None:
        self.a, self.b = geometry.member("a"), geometry.member("b")
        self.third = [each.label for each in geometry.members if each.key not in ("a", "b")]
        self.slopes = _distinct(
            face.normal
            for face in faces
            if face.pairing is Pairing.OBLIQUE and {face.from_key, face.to_key} == {"a", "b"}
        )

    def sentence(self, slides: Sequence[Vector], leaves: Sequence[Vector]) -> str:
        """What holds and what does not."""
        if len(slides) == 3:
            return "Nothing touches, so nothing holds."
        if len(slides) == 2 and leaves:
            return (
                "Bears one way only: nothing but glue or a fixing keeps the "
                f"{self.b.label} in place."
            )
        if len(slides) == 2:
            return f"The {self.b.label} slides any way in one plane and is held square to it."
        if not slides and not leaves:
            return f"Held in every direction{self._while_in_place()}."
        ways = [self._way(ray) for ray in leaves]
        if slides:
            line = self._line(slides[0])
            if not ways:
                return f"Slides only {line}, either way."
            return f"Comes apart {_listed(ways)}, and slides either way {line}."
        if len(ways) == 1:
            return f"Comes apart only {ways[0]}."
        return f"Comes apart {_listed(ways)}, and any way between."

    def _while_in_place(self) -> str:
        return f" while the {self.third[0]} stays in place" if self.third else ""

    def _line(self, direction: Vector) -> str:
        crossed = not _parallel(self.a.grain, self.b.grain)
        for member in (self.b, self.a):
            if crossed and _parallel(direction, member.grain):
                return f"along the {member.label}"
        if _parallel(direction, self.a.grain):
            return "along the grain of both"
        leans = [abs(dot(direction, grain)) > SLIGHT for grain in (self.a.grain, self.b.grain)]
        if not any(leans):
            return "square to both"
        for slope in self.slopes:
            if _parallel(direction, slope):
                return "square to the slope"
            if abs(dot(direction, slope)) < SLIGHT:
                return "along the slope"
        return "aslant to both"

    def _way(self, direction: Vector) -> str:
        line = self._line(direction)
        if line == "square to both" and abs(direction[2]) > 1 - SLIGHT:
            return "off the face" if direction[2] > 0 else "off the back"
        return line


def _parallel(one: Vector, other: Vector) -> bool:
    return abs(dot(one, other)) > 1 - SLIGHT


def _listed(ways: Sequence[str]) -> str:
    """Distinct phrases, those along a part first, joined as in a sentence."""
    distinct = sorted(dict.fromkeys(ways), key=lambda way: (not way.startswith("along"), way))
    if len(distinct) == 1:
        return distinct[0]
    return ", ".join(distinct[:-1]) + " or " + distinct[-1]
