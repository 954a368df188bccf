"""Scarf: two like parts joined end to end by a long glued slope."""

from dataclasses import dataclass
from math import sqrt
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
    visible_length,
)
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import X

LEAST_SLOPE = 8.0
AREA_OF_CROSS_SECTIONS = 10.0
WOOD_HANDBOOK = "Wood Handbook, Forest Products Laboratory, chapter 10"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scarf(Joint):
    """The slope runs through the thickness, so that long grain meets nearly long grain."""

    code: ClassVar[str] = "scarf"
    label: ClassVar[str] = "Scarf"
    summary: ClassVar[str] = "Two parts joined end to end by a long glued slope."
    a_label: ClassVar[str] = "first length"
    b_label: ClassVar[str] = "second length"
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=90, thickness_mm=20, length_mm=1800),
        Section(width_mm=90, thickness_mm=20, length_mm=1800),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.END,)

    scarf_slope: float = own(
        "slope ratio",
        "1 in 12; 1 in 8 is the least that is usual.",
        source=WOOD_HANDBOOK,
        unit=Unit.RATIO,
        least=1.0,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """1 in 12, steeper only where the parts are too short for it."""
        room = min(a.length_mm, b.length_mm) / max(a.thickness_mm, 0.1)
        return {"scarf_slope": max(1.0, min(12.0, room))}

    @property
    def scarf_length_mm(self) -> float:
        """How far the slope runs along the grain."""
        return self.scarf_slope * self.a.thickness_mm

    def check(self) -> None:
        """Both parts are of one section, and longer than the slope."""
        for name in ("width_mm", "thickness_mm"):
            like = getattr(self.a, name)
            if abs(getattr(self.b, name) - like) > 1e-6:
                raise RuleBroken(
                    f"b/{name}", "Both lengths of a scarf must be of one section.", nearest=like
                )
        for key, part, label in (("a", self.a, self.a_label), ("b", self.b, self.b_label)):
            if part.length_mm < self.a.thickness_mm - 1e-9:
                raise RuleBroken(
                    f"{key}/length_mm",
                    f"The {label} is too short for any scarf.",
                    nearest=self.a.thickness_mm * LEAST_SLOPE,
                )
            require_at_most(
                "scarf_slope",
                self.scarf_slope,
                part.length_mm / self.a.thickness_mm,
                f"The scarf is longer than the {label}; take a blunter slope (1 in less).",
            )

    def geometry(self) -> Geometry:
        """Both grains run along x; the slope rises from z = 0 at x = 0 to the far face."""
        run, thick, wide = self.scarf_length_mm, self.a.thickness_mm, self.a.width_mm
        reach = visible_length(self)
        up = (0.0, wide, 0.0)
        first = ((-reach, 0.0, 0.0), (0.0, 0.0, 0.0), (run, 0.0, thick), (-reach, 0.0, thick))
        second = (
            (0.0, 0.0, 0.0),
            (run + reach, 0.0, 0.0),
            (run + reach, 0.0, thick),
            (run, 0.0, thick),
        )
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=X,
                    blank=Solid.block((-reach, run), (0, wide), (0, thick)),
                    keeps=(Solid.prism(first, up),),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((0, run + reach), (0, wide), (0, thick)),
                    keeps=(Solid.prism(second, up),),
                    leaves=X,
                    notes=(f"slope 1 in {self.scarf_slope:g}",),
                ),
            ),
            dimensions=(
                Dimension.between("scarf length", (0, wide, 0), (run, wide, 0), View.TOP),
                Dimension.between(
                    "first length thickness", (-reach, wide, 0), (-reach, wide, thick), View.TOP
                ),
                Dimension.between(
                    "second length width",
                    (run + reach, 0, thick),
                    (run + reach, wide, thick),
                    View.FRONT,
                ),
            ),
        )

    def proportions(self) -> tuple[Advice, ...]:
        """Slope and glue area against what comes near to clear wood."""
        advice = []
        if self.scarf_slope < LEAST_SLOPE - 1e-9:
            advice.append(
                Advice(
                    text=f"The slope is blunter than 1 in {LEAST_SLOPE:g}.",
                    reason="A blunt scarf meets near its end grain, which glue does not hold.",
                    source=WOOD_HANDBOOK,
                )
            )
        if sqrt(1 + self.scarf_slope**2) < AREA_OF_CROSS_SECTIONS:
            advice.append(
                Advice(
                    text="The glued slope is under ten times the cross-section; 1 in 12 is best.",
                    reason="Wood is about ten times stronger in tension than its glue line in shear.",
                    source=WOOD_HANDBOOK,
                )
            )
        return tuple(advice)


JOINT = Scarf
