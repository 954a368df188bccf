"""Butt: two parts that merely meet, end to face, end to edge, edge to edge or end to end."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any, ClassVar

from orders.core.joint import Arrangement, Given, Joint, Section, Unit, own, visible_length
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import X, Y


class Meeting(StrEnum):
    """Which surfaces of the two parts meet."""

    END_TO_FACE = "end_to_face"
    END_TO_EDGE = "end_to_edge"
    EDGE_TO_EDGE = "edge_to_edge"
    END_TO_END = "end_to_end"


MEETINGS = {
    Arrangement.SHELF: Meeting.END_TO_FACE,
    Arrangement.BOX_CORNER: Meeting.END_TO_FACE,
    Arrangement.TEE: Meeting.END_TO_EDGE,
    Arrangement.CORNER: Meeting.END_TO_EDGE,
    Arrangement.EDGE: Meeting.EDGE_TO_EDGE,
    Arrangement.END: Meeting.END_TO_END,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Butt(Joint):
    """Two flat surfaces brought together; the glue or a fixing does all the work."""

    code: ClassVar[str] = "butt"
    label: ClassVar[str] = "Butt"
    summary: ClassVar[str] = "Two parts that merely meet; glue or a fixing does all the work."
    a_label: ClassVar[str] = "board"
    b_label: ClassVar[str] = "second board"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=120, thickness_mm=18, length_mm=600),
        Section(width_mm=100, thickness_mm=12, length_mm=400),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (
        Arrangement.SHELF,
        Arrangement.BOX_CORNER,
        Arrangement.TEE,
        Arrangement.CORNER,
        Arrangement.EDGE,
        Arrangement.END,
    )

    meeting: str = own(
        "meeting surfaces",
        "An end against a face, unless another meeting is chosen.",
        source="common practice, no source",
        unit=Unit.CHOICE,
        choices=Meeting,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """An end against a face."""
        return {"meeting": Meeting.END_TO_FACE.value}

    @classmethod
    def given_for(cls, arrangement: Arrangement) -> Given:
        """Which surfaces meet in an arrangement."""
        return {"meeting": MEETINGS[arrangement].value}

    @property
    def arrangements(self) -> tuple[Arrangement, ...]:
        """Those in which the same surfaces meet."""
        return tuple(each for each in self.suits if MEETINGS[each] == self.meeting)

    def geometry(self) -> Geometry:
        """Board a ends its x span at 0, where board b begins."""
        reach = visible_length(self)
        a, b = self.a, self.b
        along_a, along_b = Y, X
        if self.meeting == Meeting.EDGE_TO_EDGE:
            shared = min(a.length_mm, b.length_mm)
            along_b = Y
            first = Solid.block(
                (-a.width_mm, 0), (0, shared), (-a.thickness_mm / 2, a.thickness_mm / 2)
            )
            second = Solid.block(
                (0, b.width_mm), (0, shared), (-b.thickness_mm / 2, b.thickness_mm / 2)
            )
        elif self.meeting == Meeting.END_TO_END:
            along_a = X
            first = Solid.block((-reach, 0), (0, a.width_mm), (0, a.thickness_mm))
            second = Solid.block((0, reach), (0, b.width_mm), (0, b.thickness_mm))
        elif self.meeting == Meeting.END_TO_EDGE:
            first = Solid.block(
                (-a.width_mm, 0),
                (-reach, b.width_mm + reach),
                (-a.thickness_mm / 2, a.thickness_mm / 2),
            )
            second = Solid.block(
                (0, reach), (0, b.width_mm), (-b.thickness_mm / 2, b.thickness_mm / 2)
            )
        else:
            first = Solid.block(
                (-a.thickness_mm, 0), (-reach, b.thickness_mm + reach), (-a.width_mm, 0)
            )
            second = Solid.block((0, reach), (0, b.thickness_mm), (-b.width_mm, 0))
        return Geometry(
            members=(
                Member.of("a", self.a_label, grain=along_a, blank=first),
                Member.of("b", self.b_label, grain=along_b, blank=second, leaves=X),
            ),
            dimensions=_sizes(first, second),
        )


def _sizes(first: Solid, second: Solid) -> tuple[Dimension, ...]:
    """How far the meeting surface of board b reaches, and how deep board a is behind it."""
    low, high = second.extent(Y)
    back, front = second.extent((0.0, 0.0, 1.0))
    left = first.extent(X)[0]
    foot = first.extent(Y)[0]
    return (
        Dimension.between("meeting surface", (0, low, front), (0, high, front), View.FRONT),
        Dimension.between("width across", (0, high, back), (0, high, front), View.SIDE),
        Dimension.between("first board", (left, foot, front), (0, foot, front), View.FRONT),
    )


JOINT = Butt
