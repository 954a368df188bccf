"""Glue: which durability class an exposure asks for, how much, in how many stages and clamps."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from costing.core.tables import rows_of
from orders.core.errors import NotReady, RuleBroken
from orders.core.exposure import DurabilityClass, Exposure, lowest_class, taken_class

__all__ = [
    "Adhesive",
    "ClassChoice",
    "DurabilityClass",
    "Exposure",
    "GlueUpStage",
    "Spreading",
    "adhesive_for",
    "adhesives",
    "choose_class",
    "clamp_count",
    "glue_g",
    "glue_up_stages",
    "lowest_class",
]

MM2_PER_M2 = 1e6


LOAD_BEARING = (
    "Glue for load-bearing work is not chosen here: EN 204 leaves it out. Follow the local code "
    "and a licensed designer."
)
HEAT = (
    "The durability class says nothing about heat. Work that stands in the sun, by a heater or "
    "under a dark finish needs a glue whose maker states its strength hot."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassChoice:
    """The durability class to be used, the lowest that would do, and what must be said with it."""

    exposure: Exposure
    lowest: DurabilityClass
    chosen: DurabilityClass
    reason: str = ""
    cautions: tuple[str, ...] = ()

    @property
    def is_below_lowest(self) -> bool:
        """Whether somebody took a lower class than the exposure asks for."""
        return not self.chosen.covers(self.lowest)


@dataclass(frozen=True, slots=True, kw_only=True)
class Adhesive:
    """The working properties of a glue; starting values, to be replaced by the maker's."""

    key: str
    label: str
    durability_class: DurabilityClass
    open_time_min: float
    clamp_time_min: float
    cure_time_min: float
    spread_g_per_m2: float
    pressure_n_per_mm2: float
    note: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spreading:
    """One joint, or group of joints, that is spread with glue and closed."""

    key: str
    label: str
    spreading_min: float
    area_mm2: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueUpStage:
    """Joints that are spread and closed in one go, inside the open time."""

    number: int
    joints: tuple[str, ...]
    spreading_min: float
    area_mm2: float
    clamp_time_min: float


def choose_class(
    exposure: Exposure | str,
    chosen: DurabilityClass | str | None = None,
    reason: str = "",
    *,
    load_bearing: bool = False,
    heat_or_sun: bool = False,
) -> ClassChoice:
    """The class to glue with: the lowest that will do, or a higher one as chosen.

    A lower one is taken only with a reason in words. Raises RuleBroken otherwise, and for
    load-bearing work.
    """
    if load_bearing:
        raise RuleBroken("load_bearing", LOAD_BEARING)
    exposure = Exposure(exposure)
    lowest = lowest_class(exposure)
    reason = reason.strip()
    taken = taken_class(exposure, chosen, reason)
    cautions = [HEAT] if heat_or_sun else []
    if not taken.covers(lowest):
        cautions.append(f"{taken} is below {lowest}, which this exposure asks for: {reason}")
    return ClassChoice(
        exposure=exposure, lowest=lowest, chosen=taken, reason=reason, cautions=tuple(cautions)
    )


@cache
def adhesives() -> Mapping[str, Adhesive]:
    """Starting working properties of the usual glues, by key.

    Source: the column of that name in costing/data/glue.csv.
    """
    return MappingProxyType({row["adhesive"]: _adhesive(row) for row in rows_of("glue")})


def adhesive_for(wanted: DurabilityClass | str, among: Sequence[Adhesive]) -> Adhesive:
    """The first glue of the lowest sufficient class; raises NotReady when none is good enough."""
    wanted = DurabilityClass(wanted)
    good = [glue for glue in among if glue.durability_class.covers(wanted)]
    if not good:
        raise NotReady(f"No glue in the rack is of class {wanted} or better; add one.")
    return min(good, key=lambda glue: glue.durability_class.value)


def glue_g(area_mm2: float, spread_g_per_m2: float) -> float:
    """Grams of glue for an area at a spread."""
    if not area_mm2 >= 0:
        raise RuleBroken("area_mm2", "A glued area is 0 or more.")
    if not spread_g_per_m2 > 0:
        raise RuleBroken("spread_g_per_m2", "A spread is more than 0 grams per square metre.")
    return area_mm2 / MM2_PER_M2 * spread_g_per_m2


def glue_up_stages(joints: Sequence[Spreading], adhesive: Adhesive) -> tuple[GlueUpStage, ...]:
    """Joints in working order, taken together for as long as they fit the open time.

    The clock starts at the first spreading. Raises RuleBroken for a joint that takes longer by
    itself than the glue stays open.
    """
    stages: list[list[Spreading]] = []
    used_min = math.inf
    for place, joint in enumerate(joints):
        if joint.spreading_min > adhesive.open_time_min:
            raise RuleBroken(
                f"joints/{place}/spreading_min",
                f"{joint.label} takes {joint.spreading_min:g} min to spread and close, and "
                f"{adhesive.label} stays open for {adhesive.open_time_min:g} min: use a slower "
                "glue or a second pair of hands.",
                nearest=adhesive.open_time_min,
            )
        if used_min + joint.spreading_min > adhesive.open_time_min + 1e-9:
            stages.append([])
            used_min = 0.0
        stages[-1].append(joint)
        used_min += joint.spreading_min
    return tuple(
        GlueUpStage(
            number=number,
            joints=tuple(joint.key for joint in stage),
            spreading_min=sum(joint.spreading_min for joint in stage),
            area_mm2=sum(joint.area_mm2 for joint in stage),
            clamp_time_min=adhesive.clamp_time_min,
        )
        for number, stage in enumerate(stages, start=1)
    )


def clamp_count(
    line_length_mm: float,
    line_width_mm: float,
    member_width_mm: float,
    adhesive: Adhesive,
    *,
    force_per_clamp_n: float = 4000.0,
) -> int:
    """Clamps for one glue line: enough for the pressure, and close enough together.

    Pressure spreads at 45 degrees through the member, so that clamps stand at most twice its
    width apart. Both rules and the default force are common practice, no source.
    """
    for field, size in (
        ("line_length_mm", line_length_mm),
        ("line_width_mm", line_width_mm),
        ("member_width_mm", member_width_mm),
        ("force_per_clamp_n", force_per_clamp_n),
    ):
        if not (math.isfinite(size) and size > 0):
            raise RuleBroken(field, "Give a size of more than 0.")
    force = line_length_mm * line_width_mm * adhesive.pressure_n_per_mm2
    by_force = math.ceil(force / force_per_clamp_n - 1e-9)
    by_spacing = math.ceil(line_length_mm / (2 * member_width_mm) - 1e-9)
    return max(1, by_force, by_spacing)


def _adhesive(row: Mapping[str, str]) -> Adhesive:
    return Adhesive(
        key=row["adhesive"],
        label=row["label"],
        durability_class=DurabilityClass(row["durability_class"]),
        open_time_min=float(row["open_time_min"]),
        clamp_time_min=float(row["clamp_time_min"]),
        cure_time_min=float(row["cure_time_min"]),
        spread_g_per_m2=float(row["spread_g_per_m2"]),
        pressure_n_per_mm2=float(row["pressure_n_per_mm2"]),
        note=row["note"],
        source=row["source"],
    )
