"""Biscuit mitre: a flat lens of pressed beech in a slot sawn into both mitred ends."""

from dataclasses import dataclass
from itertools import pairwise
from math import acos, cos, pi, sin, sqrt
from typing import Any, ClassVar

from orders.core.errors import RuleBroken
from orders.core.figures import Biscuit, biscuits
from orders.core.joint import Arrangement, Given, Joint, Section, Unit, own
from orders.core.mitres import Corner, angle_field, corner_of, mitred, require_corner
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import times

ARC_STEPS = 6
SLOT_LONGER_MM = 6.0
SLOT_DEEPER_MM = 1.0
LEAST_CHEEK_MM = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class BiscuitMitre(Joint):
    """The biscuit lies flat in the middle of the thickness; its slot is a little larger."""

    code: ClassVar[str] = "biscuit-mitre"
    label: ClassVar[str] = "Mitre with a biscuit"
    summary: ClassVar[str] = "A mitre keyed by a biscuit in a slot across it."
    a_label: ClassVar[str] = "upright"
    b_label: ClassVar[str] = "cross piece"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=70, thickness_mm=20, length_mm=600),
        Section(width_mm=70, thickness_mm=20, length_mm=400),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.CORNER,)

    internal_angle_degree: float = angle_field()
    biscuit: str = own(
        "biscuit",
        "The largest whose slot stays within the mitre.",
        source="common practice, no source",
        unit=Unit.CHOICE,
        choices=tuple(biscuits()),
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """The largest biscuit that fits, or else the smallest, which is then refused."""
        angle = float(given.get("internal_angle_degree", 90.0))
        corner = Corner(a=a, b=b, angle_degree=angle)
        require_corner(corner)
        fitting = [size for size, each in biscuits().items() if _fits(corner, each)]
        return {
            "internal_angle_degree": angle,
            "biscuit": fitting[-1] if fitting else next(iter(biscuits())),
        }

    @property
    def corner(self) -> Corner:
        """The two parts at their corner."""
        return corner_of(self, self.internal_angle_degree)

    @property
    def size(self) -> Biscuit:
        """The biscuit's sizes."""
        return biscuits()[self.biscuit]

    def check(self) -> None:
        """The slot must leave cheeks, and stay within the mitre."""
        require_corner(self.corner)
        for key, part in (("a", self.a), ("b", self.b)):
            least = self.size.thickness_mm + 2 * LEAST_CHEEK_MM
            if part.thickness_mm < least - 1e-9:
                raise RuleBroken(
                    f"{key}/thickness_mm",
                    "The part is too thin for the slot of a biscuit.",
                    nearest=least,
                )
        if _fits(self.corner, self.size):
            return
        fitting = [size for size, each in biscuits().items() if _fits(self.corner, each)]
        if fitting:
            raise RuleBroken(
                "biscuit", f"The slot comes out of the mitre; take a no. {fitting[-1]} biscuit."
            )
        narrow = "a" if self.a.width_mm <= self.b.width_mm else "b"
        raise RuleBroken(
            f"{narrow}/width_mm",
            "The mitre is too short for any biscuit; widen the parts.",
            nearest=_wide_enough(self.corner, next(iter(biscuits().values())), narrow),
        )

    def geometry(self) -> Geometry:
        """The biscuit lies across the middle of the mitre."""
        corner, size = self.corner, self.size
        middle = corner.length_mm / 2
        lens = _lens(corner, size.length_mm, size.width_mm, size.thickness_mm)
        slot = _lens(
            corner,
            size.length_mm + SLOT_LONGER_MM,
            size.width_mm + 2 * SLOT_DEEPER_MM,
            size.thickness_mm,
        )
        half, front = size.length_mm / 2, self.b.thickness_mm / 2
        return mitred(
            self,
            corner,
            tools=(slot,),
            key=Member(
                key="biscuit",
                label="biscuit",
                grain=corner.across,
                solids=(lens,),
                blank=(lens,),
                leaves=times(corner.across, 0.5),
                notes=(f"no. {self.biscuit}",),
            ),
            dimensions=(
                Dimension.between(
                    "middle of the slot",
                    corner.spot(0, 0, front),
                    corner.spot(middle, 0, front),
                    View.FRONT,
                ),
                Dimension.between(
                    "biscuit length",
                    corner.spot(middle - half, 0, front),
                    corner.spot(middle + half, 0, front),
                    View.FRONT,
                ),
                Dimension.between(
                    "slot depth",
                    corner.spot(middle, 0, front),
                    corner.spot(middle, size.width_mm / 2 + SLOT_DEEPER_MM, front),
                    View.FRONT,
                ),
            ),
        )


def _lens(corner: Corner, length: float, width: float, thickness: float) -> Solid:
    """Two equal arcs as a polygon of the same area, its long axis on the mitre."""
    outline = [
        corner.spot(corner.length_mm / 2 + along, across, -thickness / 2)
        for along, across in _lens_outline(length, width)
    ]
    return Solid.prism(tuple(outline), (0.0, 0.0, thickness))


def _lens_outline(length: float, width: float) -> list[tuple[float, float]]:
    """The corners of the polygon, from tip to tip on either side.

    The polygon of chords is made wider until its area is that of the two arcs.
    """
    radius = (length**2 + width**2) / (4 * width)
    reach = acos((radius - width / 2) / radius)
    area = 2 * radius**2 * (reach - sin(reach) * cos(reach))
    steps = [pi / 2 + reach - 2 * reach * step / ARC_STEPS for step in range(ARC_STEPS + 1)]
    upper = [(radius * cos(turn), radius * sin(turn) - radius + width / 2) for turn in steps]
    chords = sum((one[1] + two[1]) * (two[0] - one[0]) for one, two in pairwise(upper))
    wider = area / chords
    inner = [(x, y * wider) for x, y in upper[1:-1]]
    tip = length / 2
    return [(-tip, 0.0), *inner, (tip, 0.0), *((x, -y) for x, y in reversed(inner))]


def _fits(corner: Corner, size: Biscuit) -> bool:
    """Whether the slot stays within both parts."""
    long, wide = size.length_mm + SLOT_LONGER_MM, size.width_mm + 2 * SLOT_DEEPER_MM
    if long >= corner.length_mm:
        return False
    for along, across in _lens_outline(long, wide):
        place = corner.length_mm / 2 + along
        if any(corner.room_mm(key, place) < abs(across) + 1e-6 for key in ("a", "b")):
            return False
    return True


def _wide_enough(corner: Corner, size: Biscuit, key: str) -> float:
    """The width of the narrower part in a corner of the same shape that takes the biscuit."""
    low, high = 1.0, 2.0
    while not _fits(_larger(corner, high), size):
        high *= 2
    for _ in range(30):
        middle = sqrt(low * high)
        low, high = (low, middle) if _fits(_larger(corner, middle), size) else (middle, high)
    return high * (corner.a if key == "a" else corner.b).width_mm


def _larger(corner: Corner, factor: float) -> Corner:
    def larger(section: Section) -> Section:
        return Section(
            width_mm=section.width_mm * factor,
            thickness_mm=section.thickness_mm,
            length_mm=section.length_mm,
        )

    return Corner(a=larger(corner.a), b=larger(corner.b), angle_degree=corner.angle_degree)


JOINT = BiscuitMitre
