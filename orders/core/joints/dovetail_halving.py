"""Dovetail halving: the lapped end of a rail is splayed, so that it cannot be drawn out."""

from dataclasses import dataclass
from typing import Any, ClassVar

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
from orders.core.laps import lap_dimensions, require_lap, usual_lap
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import X, Y, Z


@dataclass(frozen=True, slots=True, kw_only=True)
class DovetailHalving(Joint):
    """A T halving whose lap narrows on both sides towards its neck; it only lifts out."""

    code: ClassVar[str] = "dovetail-halving"
    label: ClassVar[str] = "Dovetail halving"
    summary: ClassVar[str] = "A splayed lap let into a stile; it cannot be drawn out."
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=48, thickness_mm=24, length_mm=600),
        Section(width_mm=48, thickness_mm=24, length_mm=600),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.TEE,)

    lap_thickness_mm: float = own(
        "thickness of the rail's lap",
        "Half the thickness of the thinner part, gauged from the face side.",
        source="common practice, no source",
    )
    slope: float = own(
        "slope ratio",
        "1 in 6 on each side of the lap.",
        source="furniture text, second-hand",
        unit=Unit.RATIO,
        least=1.0,
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """Half thick, 1 in 6, steeper where the neck would be less than half the rail."""
        return {"lap_thickness_mm": usual_lap(a, b), "slope": max(6.0, 4 * a.width_mm / b.width_mm)}

    @property
    def splay_mm(self) -> float:
        """How much the lap narrows on each side."""
        return self.a.width_mm / self.slope

    def check(self) -> None:
        """The lap must leave wood in both parts and keep a neck."""
        require_lap(self, self.lap_thickness_mm)
        if 2 * self.splay_mm >= self.b.width_mm - 1e-9:
            require_at_most(
                "slope",
                4 * self.a.width_mm / self.b.width_mm + 1,
                4 * self.a.width_mm / self.b.width_mm,
                "The lap runs to nothing at the neck; make the slope steeper (1 in more).",
            )

    def geometry(self) -> Geometry:
        """The lap is drawn in the x-y plane; its neck is at x = 0."""
        reach = visible_length(self)
        a, b, lap, splay = self.a, self.b, self.lap_thickness_mm, self.splay_mm
        up = (0.0, b.width_mm)
        tail = Solid.prism(
            (
                (-a.width_mm, 0, -lap),
                (0, splay, -lap),
                (0, b.width_mm - splay, -lap),
                (-a.width_mm, b.width_mm, -lap),
            ),
            (0.0, 0.0, lap),
        )
        neck = Dimension.between("neck", (0, splay, 0), (0, b.width_mm - splay, 0), View.FRONT)
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=Solid.block(
                        (-a.width_mm, 0), (-reach, b.width_mm + reach), (-a.thickness_mm, 0)
                    ),
                    cuts=(tail,),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=Solid.block((-a.width_mm, reach), up, (-b.thickness_mm, 0)),
                    keeps=(Solid.block((0, reach), up, (-b.thickness_mm, 0)), tail),
                    leaves=Z,
                ),
            ),
            dimensions=(neck, *lap_dimensions(self, lap, reach)),
        )


JOINT = DovetailHalving
