"""Solids in place: what the members of a joint are made of, and the lengths they are made to.

Lengths are millimetres. Member a (the stile, post or board that receives) runs along +y, member b
comes along +x and leaves along +x, z is square to both. The front view looks at the x-y plane from
+z, the top view at the x-z plane from +y, the side view at the y-z plane from +x.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from orders.core.convex import (
    NEAR_MM,
    Plane,
    Solid,
    bore,
    box_around,
    boxes_meet,
    cut_away,
    plane_of,
    volume_mm3,
)
from orders.core.vectors import Point, Vector, minus, norm, plus, times

__all__ = [
    "NEAR_MM",
    "Dimension",
    "Geometry",
    "Hole",
    "Member",
    "Plane",
    "Point",
    "Solid",
    "Vector",
    "View",
    "box_around",
    "boxes_meet",
    "cut_away",
    "plane_of",
    "volume_mm3",
]


class View(StrEnum):
    """The three views of a dimensioned drawing."""

    FRONT = "front"
    TOP = "top"
    SIDE = "side"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A bored hole: where its mouth is and which way the bit goes."""

    mouth: Point
    direction: Vector
    diameter_mm: float
    depth_mm: float

    @property
    def end(self) -> Point:
        """The middle of the hole's floor."""
        return plus(self.mouth, times(self.direction, self.depth_mm))

    @property
    def solid(self) -> Solid:
        """The rod of wood that the bit takes out."""
        return Solid.cylinder(self.mouth, self.end, self.diameter_mm)

    def bored_in(self, solids: Sequence[Solid]) -> tuple[Solid, ...]:
        """What the hole leaves of some solids."""
        return bore(solids, self.solid, Solid.sleeve(self.mouth, self.end, self.diameter_mm))


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """One length that the bench works to, between two points in place."""

    label: str
    value_mm: float
    start: Point
    end: Point
    view: View

    @classmethod
    def between(cls, label: str, start: Point, end: Point, view: View) -> "Dimension":
        """The distance between two points, so that the number cannot differ from the part."""
        return cls(label=label, value_mm=norm(minus(end, start)), start=start, end=end, view=view)


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One piece near the joint: a union of disjoint convex solids, in its assembled place.

    `blank` is the same piece before the joint is cut, `unbored` the piece cut but not yet bored.
    `leaves` is the way it is drawn apart; the member that stays has a zero vector. `goes_on` names
    the ways along which it was cut short only to be drawn.
    """

    key: str
    label: str
    grain: Vector
    solids: tuple[Solid, ...]
    blank: tuple[Solid, ...]
    unbored: tuple[Solid, ...] = ()
    leaves: Vector = (0.0, 0.0, 0.0)
    holes: tuple[Hole, ...] = ()
    notes: tuple[str, ...] = ()
    goes_on: tuple[Vector, ...] = ()

    @classmethod
    def of(
        cls,
        key: str,
        label: str,
        *,
        grain: Vector,
        blank: Solid,
        cuts: Sequence[Solid] = (),
        keeps: Sequence[Solid] = (),
        holes: Sequence[Hole] = (),
        leaves: Vector = (0.0, 0.0, 0.0),
        notes: Sequence[str] = (),
    ) -> "Member":
        """A piece made from one blank.

        Either the waste is given (`cuts`) or the convex pieces that stay (`keeps`); bored holes
        are taken out of what is left.
        """
        unbored = tuple(keeps) or cut_away((blank,), *cuts)
        solids = unbored
        for hole in holes:
            solids = hole.bored_in(solids)
        return cls(
            key=key,
            label=label,
            grain=grain,
            solids=solids,
            blank=(blank,),
            unbored=unbored,
            holes=tuple(holes),
            leaves=leaves,
            notes=tuple(notes),
        )

    @property
    def volume_mm3(self) -> float:
        """Volume after cutting."""
        return volume_mm3(self.solids)

    @property
    def removed_mm3(self) -> float:
        """Volume that the joint takes out of the blank."""
        return volume_mm3(self.blank) - self.volume_mm3

    def scaled(self, factor: float) -> "Member":
        """The same member, larger or smaller about the origin."""
        return Member(
            key=self.key,
            label=self.label,
            grain=self.grain,
            solids=tuple(solid.scaled(factor) for solid in self.solids),
            blank=tuple(solid.scaled(factor) for solid in self.blank),
            unbored=tuple(solid.scaled(factor) for solid in self.unbored),
            leaves=self.leaves,
            holes=tuple(
                Hole(
                    mouth=times(hole.mouth, factor),
                    direction=hole.direction,
                    diameter_mm=hole.diameter_mm * factor,
                    depth_mm=hole.depth_mm * factor,
                )
                for hole in self.holes
            ),
            notes=self.notes,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """A joint in place: its members and the lengths the bench works to."""

    members: tuple[Member, ...]
    dimensions: tuple[Dimension, ...] = ()

    def member(self, key: str) -> Member:
        """The member of that key."""
        return next(member for member in self.members if member.key == key)

    @property
    def leaves(self) -> Vector:
        """The way member b is drawn apart."""
        return self.member("b").leaves
