"""Housing: the end of a shelf let into a groove across a side, right through or stopped."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.joint import (
    Advice,
    Arrangement,
    Given,
    Joint,
    Section,
    own,
    require_at_most,
    visible_length,
)
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import X, Y


@dataclass(frozen=True, slots=True, kw_only=True)
class Housing(Joint):
    """A square groove as wide as the shelf is thick; the front edge is z = 0."""

    code: ClassVar[str] = "housing"
    label: ClassVar[str] = "Housing"
    summary: ClassVar[str] = "The end of a shelf in a groove across a side, through or stopped."
    a_label: ClassVar[str] = "side"
    b_label: ClassVar[str] = "shelf"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=200, thickness_mm=18, length_mm=900),
        Section(width_mm=200, thickness_mm=18, length_mm=700),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.SHELF,)

    depth_mm: float = own(
        "depth of the housing",
        "A third of the side's thickness.",
        source="common practice, no source",
    )
    stop_mm: float = own(
        "stop behind the front edge",
        "0 runs the housing through; 6 to 20 hides it at the front.",
        source="common practice, no source",
        least=0.0,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """A third deep, right through."""
        return {"depth_mm": a.thickness_mm / 3, "stop_mm": 0.0}

    def check(self) -> None:
        """The groove must leave wood in the side and some of the shelf in the groove."""
        if self.depth_mm >= self.a.thickness_mm - 1e-9:
            require_at_most(
                "depth_mm",
                self.depth_mm,
                self.a.thickness_mm / 3,
                "The housing cuts right through the side; a third of its thickness is usual.",
            )
        require_at_most(
            "depth_mm",
            self.depth_mm,
            self.b.length_mm,
            "The housing is deeper than the shelf is long.",
        )
        require_at_most(
            "b/width_mm",
            self.b.width_mm,
            self.a.width_mm,
            "The shelf is wider than the side; make it no wider.",
        )
        if self.stop_mm >= self.b.width_mm - 1e-9:
            require_at_most(
                "stop_mm",
                self.stop_mm,
                self.b.width_mm / 2,
                "The stop leaves no housing for the shelf; shorten it.",
            )

    def geometry(self) -> Geometry:
        """The side's inner face is x = 0, its grain and the shelf's thickness run along y."""
        reach = visible_length(self)
        side, shelf = self.a, self.b
        thick = (0.0, shelf.thickness_mm)
        groove = Solid.block((-self.depth_mm, 0), thick, (-side.width_mm, -self.stop_mm))
        notch = Solid.block((-self.depth_mm, 0), thick, (-self.stop_mm, 0))
        front = (0.0, shelf.thickness_mm, 0.0)
        dimensions = [
            Dimension.between(
                "housing depth",
                (-self.depth_mm, shelf.thickness_mm, 0),
                front,
                View.FRONT,
            ),
            Dimension.between("housing width", (0, 0, 0), front, View.FRONT),
            Dimension.between(
                "side thickness", (-side.thickness_mm, -reach, 0), (0, -reach, 0), View.FRONT
            ),
            Dimension.between(
                "shelf width",
                (reach, shelf.thickness_mm, -shelf.width_mm),
                (reach, shelf.thickness_mm, 0),
                View.TOP,
            ),
        ]
        if self.stop_mm:
            dimensions.append(
                Dimension.between(
                    "stop",
                    (-self.depth_mm, shelf.thickness_mm, -self.stop_mm),
                    (-self.depth_mm, shelf.thickness_mm, 0),
                    View.TOP,
                )
            )
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block(
                        (-side.thickness_mm, 0),
                        (-reach, shelf.thickness_mm + reach),
                        (-side.width_mm, 0),
                    ),
                    cuts=(groove,),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((-self.depth_mm, reach), thick, (-shelf.width_mm, 0)),
                    cuts=(notch,) if self.stop_mm else (),
                    leaves=X,
                ),
            ),
            dimensions=tuple(dimensions),
        )

    def proportions(self) -> tuple[Advice, ...]:
        """Depth against the usual, and what a square housing does not do."""
        advice = [
            Advice(
                text="A square housing does not hold the shelf against being pulled out.",
                reason="Its walls meet end grain, which takes glue badly; add a fixing or dovetail.",
                source="Wood Handbook, Forest Products Laboratory, chapter 10",
                answered_by_screws=True,
            )
        ]
        if self.depth_mm > self.a.thickness_mm / 3 + 1e-9:
            advice.append(
                Advice(
                    text="The housing is deeper than a third of the side.",
                    reason="A deep groove across the grain weakens the side.",
                    source="common practice, no source",
                )
            )
        return tuple(advice)


JOINT = Housing
