"""Tongued end: a tongue on the end of a board in a groove across another, as in stairs."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any, ClassVar

from orders.core.joint import (
    Advice,
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


class Tongue(StrEnum):
    """Where the tongue stands on the end: amid it, or flush with the lower face."""

    MIDDLE = "middle"
    BARE_FACED = "bare-faced"


@dataclass(frozen=True, slots=True, kw_only=True)
class TonguedEnd(Joint):
    """The shoulder hides the groove and steadies the board; the groove may be thin."""

    code: ClassVar[str] = "tongued-end"
    label: ClassVar[str] = "Tongued end"
    summary: ClassVar[str] = "A tongue on a board's end in a groove across another board."
    a_label: ClassVar[str] = "grooved side"
    b_label: ClassVar[str] = "tongued board"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=220, thickness_mm=27, length_mm=900),
        Section(width_mm=220, thickness_mm=18, length_mm=700),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.SHELF, Arrangement.BOX_CORNER)

    tongue_thickness_mm: float = own(
        "tongue thickness",
        "A third of the board's thickness.",
        source="Noyes, Handwork in Wood (1910), for the groove",
    )
    tongue_length_mm: float = own(
        "tongue length",
        "As long as the tongue is thick, and no more than a third of the side's thickness.",
        source="common practice, no source",
    )
    clearance_mm: float = own(
        "clearance below the tongue",
        "0.5 mm, so that the shoulders close.",
        source="common practice, no source",
        least=0.0,
    )
    tongue: str = own(
        "place of the tongue",
        "In the middle of the end; bare-faced where one face must show no groove.",
        source="common practice, no source",
        unit=Unit.CHOICE,
        choices=Tongue,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """A third thick, about as long."""
        thickness = float(given.get("tongue_thickness_mm", b.thickness_mm / 3))
        return {
            "tongue_thickness_mm": thickness,
            "tongue_length_mm": min(thickness, a.thickness_mm / 3, b.length_mm),
            "clearance_mm": min(0.5, a.thickness_mm / 10),
            "tongue": Tongue.MIDDLE.value,
        }

    def check(self) -> None:
        """The board must keep a shoulder, the side a floor under the groove."""
        if self.tongue_thickness_mm >= self.b.thickness_mm - 1e-9:
            require_at_most(
                "tongue_thickness_mm",
                self.tongue_thickness_mm,
                self.b.thickness_mm / 3,
                "The tongue leaves no shoulder; a third of the board's thickness is usual.",
            )
        if self.tongue_length_mm + self.clearance_mm >= self.a.thickness_mm - 1e-9:
            require_at_most(
                "tongue_length_mm",
                self.tongue_length_mm,
                self.a.thickness_mm / 3,
                "The groove cuts right through the side; shorten the tongue.",
            )
        require_at_most(
            "tongue_length_mm",
            self.tongue_length_mm,
            self.b.length_mm,
            "The tongue is longer than its own board.",
        )
        require_at_most(
            "b/width_mm",
            self.b.width_mm,
            self.a.width_mm,
            "The tongued board is wider than the side; make it no wider.",
        )

    def geometry(self) -> Geometry:
        """The side's inner face is x = 0, its front edge z = 0; the groove runs right through."""
        reach = visible_length(self)
        side, board = self.a, self.b
        thick, length = board.thickness_mm, self.tongue_length_mm
        foot = 0.0 if self.tongue == Tongue.BARE_FACED else (thick - self.tongue_thickness_mm) / 2
        span = (foot, foot + self.tongue_thickness_mm)
        deep, across = length + self.clearance_mm, (-board.width_mm, 0.0)
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block(
                        (-side.thickness_mm, 0), (-reach, thick + reach), (-side.width_mm, 0)
                    ),
                    cuts=(Solid.block((-deep, 0), span, (-side.width_mm, 0)),),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((-length, reach), (0, thick), across),
                    keeps=(
                        Solid.block((0, reach), (0, thick), across),
                        Solid.block((-length, 0), span, across),
                    ),
                    leaves=X,
                ),
            ),
            dimensions=(
                Dimension.between(
                    "tongue length", (-length, span[1], 0), (0, span[1], 0), View.FRONT
                ),
                Dimension.between(
                    "tongue thickness", (-length, span[0], 0), (-length, span[1], 0), View.FRONT
                ),
                Dimension.between("groove depth", (-deep, span[0], 0), (0, span[0], 0), View.FRONT),
                Dimension.between(
                    "tongued board thickness", (reach, 0, 0), (reach, thick, 0), View.FRONT
                ),
                Dimension.between(
                    "side thickness", (-side.thickness_mm, -reach, 0), (0, -reach, 0), View.FRONT
                ),
                Dimension.between(
                    "tongued board width",
                    (reach, thick, -board.width_mm),
                    (reach, thick, 0),
                    View.TOP,
                ),
            ),
        )

    def proportions(self) -> tuple[Advice, ...]:
        """Depth against the usual, and what a tongue in a cross-grain groove does not do."""
        advice = [
            Advice(
                text="A tongued end does not hold the board against being pulled out.",
                reason="The groove's walls are end grain, which takes glue badly; wedge or screw it.",
                source="Wood Handbook, Forest Products Laboratory, chapter 10",
                answered_by_screws=True,
            )
        ]
        if self.tongue_length_mm > self.a.thickness_mm / 3 + 1e-9:
            advice.append(
                Advice(
                    text="The groove is deeper than a third of the side.",
                    reason="A deep groove across the grain weakens the side.",
                    source="common practice, no source",
                )
            )
        return tuple(advice)


JOINT = TonguedEnd
