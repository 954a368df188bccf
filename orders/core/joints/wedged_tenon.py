"""Wedged through tenon: wedges driven into the tenon's end spread it in a flared mortise."""

from dataclasses import dataclass
from typing import Any, ClassVar

from orders.core.errors import RuleBroken
from orders.core.joint import Advice, Arrangement, Given, Joint, Section, own, require_at_most
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.tenons import (
    TenonPlace,
    require_tenon,
    tenon_advice,
    thickness_field,
    usual_thickness,
    width_field,
)
from orders.core.vectors import X, Y, times

USUAL_WEDGE_MM = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WedgedTenon(Joint):
    """Two kerfs near the tenon's edges take the wedges; spread, it cannot be drawn out again."""

    code: ClassVar[str] = "wedged-tenon"
    label: ClassVar[str] = "Wedged through tenon"
    summary: ClassVar[str] = "A through tenon spread by two wedges in a flared mortise."
    example: ClassVar[tuple[Section, Section]] = (
        Section(width_mm=60, thickness_mm=30, length_mm=900),
        Section(width_mm=75, thickness_mm=30, length_mm=600),
    )
    suits: ClassVar[tuple[Arrangement, ...]] = (Arrangement.TEE, Arrangement.CORNER)

    tenon_thickness_mm: float = thickness_field()
    tenon_width_mm: float = width_field()
    wedge_thickness_mm: float = own(
        "wedge thickness at its outer end",
        "4 mm, or half the shoulder or a twelfth of the tenon's width if that is less.",
        source="common practice, no source",
    )
    wedge_length_mm: float = own(
        "wedge length",
        "Two thirds of the stile's width.",
        source="common practice, no source",
    )
    kerf_from_edge_mm: float = own(
        "kerf from the tenon's edge",
        "An eighth of the tenon's width, so that the outer strip bends without breaking.",
        source="common practice, no source",
    )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """The tenon as usual and right through, slim wedges two thirds as deep."""
        thickness = float(given.get("tenon_thickness_mm", usual_thickness(a, b)))
        width = float(given.get("tenon_width_mm", min(b.width_mm * 2 / 3, 6 * thickness)))
        shoulder = max((b.width_mm - width) / 2, 0.2)
        return {
            "tenon_thickness_mm": thickness,
            "tenon_width_mm": width,
            "wedge_thickness_mm": max(0.1, min(USUAL_WEDGE_MM, shoulder / 2, width / 12)),
            "wedge_length_mm": a.width_mm * 2 / 3,
            "kerf_from_edge_mm": max(0.1, width / 8),
        }

    def check(self) -> None:
        """The tenon must fit both parts, and find room to spread."""
        require_tenon(
            self.a,
            self.b,
            thickness_mm=self.tenon_thickness_mm,
            length_mm=self.a.width_mm,
            clearance_mm=0.0,
        )
        require_at_most(
            "tenon_width_mm",
            self.tenon_width_mm,
            self.b.width_mm - 0.2,
            "A wedged tenon needs shoulders to spread behind; make it narrower than the rail.",
        )
        require_at_most(
            "wedge_thickness_mm",
            self.wedge_thickness_mm,
            (self.b.width_mm - self.tenon_width_mm) / 2,
            "The spread tenon would be wider than its rail; take thinner wedges.",
        )
        if self.wedge_length_mm >= self.a.width_mm - 1e-9:
            raise RuleBroken(
                "wedge_length_mm",
                "The wedge is as long as the tenon; the kerf must end before the shoulder.",
                nearest=self.a.width_mm * 2 / 3,
            )
        if 2 * self.kerf_from_edge_mm >= self.tenon_width_mm - 1e-9:
            raise RuleBroken(
                "kerf_from_edge_mm",
                "The two kerfs meet; saw them nearer the tenon's edges.",
                nearest=self.tenon_width_mm / 8,
            )

    @property
    def _place(self) -> TenonPlace:
        return TenonPlace.amid(
            self,
            thickness_mm=self.tenon_thickness_mm,
            width_mm=self.tenon_width_mm,
            length_mm=self.a.width_mm,
        )

    def geometry(self) -> Geometry:
        """Wedged home: the tenon's outer strips lean against the flared ends of the mortise."""
        place = self._place
        end, tip = -self.a.width_mm, self.wedge_length_mm - self.a.width_mm
        kerf, spread = self.kerf_from_edge_mm, self.wedge_thickness_mm
        low, high = place.low, place.high
        wedges, strips, flares = [], [], []
        for edge, sign in ((low, -1.0), (high, 1.0)):
            inner = edge - sign * kerf
            wedges.append(self._slice(((end, inner), (end, inner + sign * spread), (tip, inner))))
            strips.append(
                self._slice(
                    (
                        (end, inner + sign * spread),
                        (end, edge + sign * spread),
                        (tip, edge),
                        (tip, inner),
                    )
                )
            )
            flares.append(self._slice(((end, edge), (end, edge + sign * spread), (tip, edge))))
        cheeks = place.cheeks
        core = Solid.block((end, tip), (low + kerf, high - kerf), cheeks)
        root = Solid.block((tip, 0), (low, high), cheeks)
        return Geometry(
            members=(
                Member.of(
                    "a",
                    self.a_label,
                    grain=Y,
                    blank=place.stile_blank,
                    cuts=(place.mortise, *flares),
                ),
                Member.of(
                    "b",
                    self.b_label,
                    grain=X,
                    blank=place.rail_blank,
                    keeps=(place.rail_body, root, core, *strips),
                    leaves=X,
                ),
                Member(
                    key="wedge",
                    label="wedge",
                    grain=X,
                    solids=tuple(wedges),
                    blank=tuple(wedges),
                    leaves=times(X, -1.0),
                ),
            ),
            dimensions=(*place.dimensions(), *self._wedge_dimensions(place, end, tip)),
        )

    def _slice(self, outline: tuple[tuple[float, float], ...]) -> Solid:
        """A prism as thick as the tenon from its outline in the front view."""
        half = self.tenon_thickness_mm / 2
        return Solid.prism(
            tuple((x, y, -half) for x, y in outline), (0.0, 0.0, self.tenon_thickness_mm)
        )

    def _wedge_dimensions(self, place: TenonPlace, end: float, tip: float) -> tuple[Dimension, ...]:
        inner, spread = place.high - self.kerf_from_edge_mm, self.wedge_thickness_mm
        return (
            Dimension.between("wedge length", (end, inner, 0), (tip, inner, 0), View.FRONT),
            Dimension.between(
                "wedge thickness", (end, inner, 0), (end, inner + spread, 0), View.FRONT
            ),
            Dimension.between(
                "mortise at the back",
                (end, place.low - spread, 0),
                (end, place.high + spread, 0),
                View.FRONT,
            ),
        )

    def proportions(self) -> tuple[Advice, ...]:
        """The tenon's proportions, and wedges too blunt to drive."""
        advice = list(
            tenon_advice(
                self.a,
                self.b,
                thickness_mm=self.tenon_thickness_mm,
                width_mm=self.tenon_width_mm,
                length_mm=self.a.width_mm,
            )
        )
        if self.wedge_thickness_mm * 6 > self.wedge_length_mm:
            advice.append(
                Advice(
                    text="The wedge is blunter than 1 in 6.",
                    reason="A blunt wedge springs back or splits the tenon below its kerf.",
                    source="common practice, no source",
                )
            )
        return tuple(advice)


JOINT = WedgedTenon
