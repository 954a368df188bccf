"""Finger: equal straight fingers interlock at a corner, as in a comb."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.errors import RuleBroken
from orders.core.joint import (
    Arrangement,
    Given,
    Joint,
    Section,
    Unit,
    own,
    require_at_most,
    visible_length,
)
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import X, Y

LEAST_FINGER_MM = 1.0
MOST_FINGERS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Finger(Joint):
    """The second board has the finger at the front edge; an odd number is symmetrical."""

    code: ClassVar[str] = "finger"
    label: ClassVar[str] = "Finger"
    summary: ClassVar[str] = "Equal straight fingers interlock at a corner, as in a comb."
    a_label: ClassVar[str] = "side"
    b_label: ClassVar[str] = "end board"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=90, thickness_mm=12, length_mm=400),
        Section(width_mm=90, thickness_mm=12, length_mm=300),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.BOX_CORNER,)

    finger_count: int = own(
        "number of fingers",
        "An odd number for both boards together, each about as wide as the board is thick.",
        source="common practice, no source",
        unit=Unit.COUNT,
        least=2,
        most=20_000,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """Fingers as wide as the thinner board is thick."""
        fit = int(b.width_mm / min(a.thickness_mm, b.thickness_mm))
        return {"finger_count": min(199, max(3, fit - 1 + fit % 2))}

    @property
    def finger_width_mm(self) -> float:
        """Width of each finger."""
        return self.b.width_mm / self.finger_count

    def check(self) -> None:
        """Both boards are of one width and the fingers can be cut."""
        if abs(self.a.width_mm - self.b.width_mm) > 1e-6:
            raise RuleBroken(
                "b/width_mm",
                "Both boards of a fingered corner must be of one width.",
                nearest=self.a.width_mm,
            )
        if self.b.width_mm < 2 * LEAST_FINGER_MM:
            raise RuleBroken(
                "b/width_mm", "The boards are too narrow for fingers.", nearest=3 * LEAST_FINGER_MM
            )
        most = min(MOST_FINGERS, int(self.b.width_mm / LEAST_FINGER_MM))
        require_at_most(
            "finger_count",
            self.finger_count,
            most,
            f"There is room for {most} fingers of {LEAST_FINGER_MM:g} mm or more, no more.",
        )
        require_at_most(
            "a/thickness_mm", self.a.thickness_mm, self.b.length_mm, "The end board is too short."
        )
        require_at_most(
            "b/thickness_mm", self.b.thickness_mm, self.a.length_mm, "The side is too short."
        )

    def geometry(self) -> Geometry:
        """Fingers are counted from z = 0, the first one the end board's."""
        reach = visible_length(self)
        deep, thick, wide = self.a.thickness_mm, self.b.thickness_mm, self.b.width_mm
        step = self.finger_width_mm
        fingers = [
            Solid.block((-deep, 0), (0, thick), (place * step, (place + 1) * step))
            for place in range(self.finger_count)
        ]
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block((-deep, 0), (-reach, thick), (0, wide)),
                    keeps=(Solid.block((-deep, 0), (-reach, 0), (0, wide)), *fingers[1::2]),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((-deep, reach), (0, thick), (0, wide)),
                    keeps=(Solid.block((0, reach), (0, thick), (0, wide)), *fingers[0::2]),
                    leaves=X,
                ),
            ),
            dimensions=(
                Dimension.between(
                    "finger width", (-deep, thick, 0), (-deep, thick, step), View.TOP
                ),
                Dimension.between("finger length", (-deep, thick, 0), (0, thick, 0), View.TOP),
                Dimension.between("board width", (reach, thick, 0), (reach, thick, wide), View.TOP),
                Dimension.between(
                    "end board thickness", (reach, 0, wide), (reach, thick, wide), View.FRONT
                ),
            ),
        )


JOINT = Finger
