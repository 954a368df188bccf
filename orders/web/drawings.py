"""What a page shows of a joint: its drawings, its glue faces, what holds, its advice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from orders.core import drawing
from orders.core.book import JointStudy
from orders.core.contact import Pairing
from orders.core.exposure import Exposure
from orders.core.fixings import Carried, advice_with
from orders.core.joint import Advice
from orders.core.lengths import LengthUnit
from orders.core.solids import View
from orders.core.species import Species
from orders.core.timber import timber_advice

PAIRINGS: Mapping[Pairing, str] = {
    Pairing.LONG_LONG_CROSSED: "long to long, crossed",
    Pairing.LONG_LONG_PARALLEL: "long to long, parallel",
    Pairing.LONG_END: "long to end",
    Pairing.END_END: "end to end",
    Pairing.OBLIQUE: "oblique",
}
COUNTED = (Pairing.LONG_LONG_CROSSED, Pairing.LONG_LONG_PARALLEL)
SMALL_PX, PLATE_PX, LARGE_PX = 190.0, 300.0, 400.0
VIEW_PX, LARGE_VIEW_PX = 190.0, 260.0
OUTSIDE = (Exposure.SHELTERED_EXTERIOR, Exposure.WEATHER_EXTERIOR)


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueRow:
    """One line of the table of glue faces."""

    label: str
    swatch: SafeString
    area_mm2: float
    word: str
    is_counted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A joint as a page shows it."""

    isometric: SafeString
    front: SafeString
    top: SafeString
    side: SafeString
    glue: tuple[GlueRow, ...]
    holds: SafeString
    study: JointStudy
    removed: tuple[tuple[str, float], ...]
    advice: tuple[Advice, ...]

    @property
    def open_count(self) -> int:
        """How many of the six directions are open."""
        return len(self.study.holds.free_axes)


def plate_of(
    study: JointStudy,
    unit: LengthUnit,
    *,
    names: Mapping[str, str] | None = None,
    exposure: str = "",
    woods: tuple[Species, Species] | None = None,
    fixings: Sequence[Carried] = (),
    is_large: bool = False,
) -> Plate:
    """Everything to be shown of one joint; `names` are those of its parts by member key.

    `woods` are the species of the part that receives and of the one that enters.
    """
    labels = names or {}
    outside = study.outdoor_advice if exposure in OUTSIDE else ()
    of_timber = timber_advice(study, *woods) if woods else ()
    flat = {
        which: drawing.view(
            study.geometry,
            which,
            unit,
            ident=f"view-{which}",
            fit_px=LARGE_VIEW_PX if is_large else VIEW_PX,
        )
        for which in View
    }
    return Plate(
        isometric=isometric(study, labels, unit=unit, fit_px=LARGE_PX if is_large else PLATE_PX),
        front=drawn(flat[View.FRONT]),
        top=drawn(flat[View.TOP]),
        side=drawn(flat[View.SIDE]),
        glue=glue_rows(study),
        holds=drawn(
            drawing.holds(study.holds.free_axes, words=study.holds.words, ways=study.holds.ways)
        ),
        study=study,
        removed=tuple(
            (labels.get(member.key) or f"the {member.label}", member.removed_mm3)
            for member in study.geometry.members
            if member.removed_mm3 > 0
        ),
        advice=advice_with(study, fixings, (*study.advice, *of_timber, *outside)),
    )


def isometric(
    study: JointStudy,
    names: Mapping[str, str] | None = None,
    *,
    ident: str = "iso",
    unit: LengthUnit = LengthUnit.MM,
    fit_px: float = PLATE_PX,
) -> SafeString:
    """The joint drawn apart."""
    return drawn(
        drawing.isometric(study.geometry, ident=ident, labels=names, unit=unit, fit_px=fit_px)
    )


def small_isometric(study: JointStudy, ident: str) -> SafeString:
    """The joint drawn apart, small and without words."""
    unnamed = {member.key: "" for member in study.geometry.members}
    return isometric(study, unnamed, ident=ident, fit_px=SMALL_PX)


def glue_rows(study: JointStudy) -> tuple[GlueRow, ...]:
    """The glue faces by grain pairing; every pairing is shown, also those that are not there."""
    return tuple(
        GlueRow(
            label=label,
            swatch=drawn(drawing.swatch(pairing)),
            area_mm2=area,
            word=_word(pairing, area),
            is_counted=area > 0 and pairing in COUNTED,
        )
        for pairing, label in PAIRINGS.items()
        if (area := getattr(study.glue, f"{pairing.value}_mm2")) > 0
        or pairing is not Pairing.OBLIQUE
    )


def _word(pairing: Pairing, area_mm2: float) -> str:
    if area_mm2 <= 0:
        return "none here"
    return "counted" if pairing in COUNTED else "not counted"


def drawn(svg: Any) -> SafeString:
    """A drawing of the core, which escapes every word it is given, as markup."""
    return mark_safe(str(svg))
