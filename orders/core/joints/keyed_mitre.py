"""Keyed mitre: slips of wood let into saw cuts across the outer corner of a glued mitre."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.errors import RuleBroken
from orders.core.joint import (
    Advice,
    Arrangement,
    Given,
    Joint,
    Section,
    Unit,
    own,
    require_at_most,
)
from orders.core.mitres import Corner, angle_field, corner_of, mitred, require_corner, slab
from orders.core.solids import Dimension, Geometry, Member, Plane, Solid, View
from orders.core.vectors import times

MOST_KEYS = 8
USUAL_KEY_MM = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyedMitre(Joint):
    """The keys are glued in afterwards and trimmed flush; they show at the corner."""

    code: ClassVar[str] = "keyed-mitre"
    label: ClassVar[str] = "Keyed mitre"
    summary: ClassVar[str] = "A mitre with slips of wood in saw cuts across its outer corner."
    a_label: ClassVar[str] = "upright"
    b_label: ClassVar[str] = "cross piece"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=50, thickness_mm=24, length_mm=600),
        Section(width_mm=50, thickness_mm=24, length_mm=400),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.CORNER,)

    internal_angle_degree: float = angle_field()
    key_count: int = own(
        "number of keys",
        "One for every 12 mm of thickness.",
        source="common practice, no source",
        unit=Unit.COUNT,
        least=1,
        most=MOST_KEYS,
    )
    key_thickness_mm: float = own(
        "key thickness",
        "A saw cut, about 3 mm, and no more than a third of its share of the thickness.",
        source="common practice, no source",
    )
    key_depth_mm: float = own(
        "key depth from the outer corner",
        "Half the mitre's length.",
        source="common practice, no source",
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """A key for every 12 mm, half the mitre deep."""
        angle = float(given.get("internal_angle_degree", 90.0))
        corner = Corner(a=a, b=b, angle_degree=angle)
        require_corner(corner)
        thin = min(a.thickness_mm, b.thickness_mm)
        count = int(given.get("key_count", max(1, min(MOST_KEYS, int(thin / 12)))))
        return {
            "internal_angle_degree": angle,
            "key_count": count,
            "key_thickness_mm": min(USUAL_KEY_MM, thin / count / 3),
            "key_depth_mm": corner.length_mm / 2,
        }

    @property
    def corner(self) -> Corner:
        """The two parts at their corner."""
        return corner_of(self, self.internal_angle_degree)

    def check(self) -> None:
        """The keys must find room in the thickness and end short of the inner corner."""
        require_corner(self.corner)
        thin = min(self.a.thickness_mm, self.b.thickness_mm)
        if self.key_thickness_mm * self.key_count >= thin - 1e-9:
            raise RuleBroken(
                "key_thickness_mm",
                "The keys leave nothing of the thinner part; take thinner or fewer keys.",
                nearest=thin / self.key_count / 3,
            )
        if self.key_depth_mm >= self.corner.length_mm - 1e-9:
            require_at_most(
                "key_depth_mm",
                self.key_depth_mm,
                self.corner.length_mm / 2,
                "The saw cut would run through the inner corner; half the mitre is usual.",
            )

    def geometry(self) -> Geometry:
        """Keys share the thickness evenly; each is a triangle over the outer corner."""
        corner = self.corner
        start = corner.length_mm - self.key_depth_mm
        keys = [half for z in self._heights() for half in self._key(z, start)]
        front = self.b.thickness_mm / 2
        near, low = self._heights()[-1], self.key_thickness_mm / 2
        outer = corner.outer
        return mitred(
            self,
            corner,
            tools=keys,
            key=Member(
                key="key",
                label="key",
                grain=corner.across,
                solids=tuple(keys),
                blank=tuple(keys),
                leaves=corner.outward,
            ),
            dimensions=(
                Dimension.between(
                    "key depth",
                    corner.spot(start, 0, front),
                    corner.spot(corner.length_mm, 0, front),
                    View.FRONT,
                ),
                Dimension.between(
                    "key thickness",
                    (outer[0], outer[1], near - low),
                    (outer[0], outer[1], near + low),
                    View.SIDE,
                ),
            ),
        )

    def _heights(self) -> list[float]:
        """The middles of the keys along z."""
        thin = min(self.a.thickness_mm, self.b.thickness_mm)
        step = thin / self.key_count
        return [-thin / 2 + step * (place + 0.5) for place in range(self.key_count)]

    def _key(self, middle_mm: float, start: float) -> list[Solid]:
        """The two halves of one key, on either side of the mitre."""
        inner = Plane(normal=times(self.corner.outward, -1.0), offset=-start)
        halves = slab(self.corner, self.key_thickness_mm, middle_mm=middle_mm)
        return [cut for half in halves if (cut := half.behind(inner)) is not None]

    def proportions(self) -> tuple[Advice, ...]:
        """Depth against the usual."""
        if self.key_depth_mm >= self.corner.length_mm / 4:
            return ()
        return (
            Advice(
                text="The keys reach less than a quarter of the mitre.",
                reason="So little of the mitre is crossed that its inner end opens.",
                source="common practice, no source",
            ),
        )


JOINT = KeyedMitre
