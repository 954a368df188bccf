"""From rows to the joint book: the joint that two parts make, by its type and dimensions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from orders.core.book import JointStudy, joint_type
from orders.core.errors import RuleBroken
from orders.core.fixings import Carried, Jig, carried, jig, require_fixings
from orders.core.joint import Joint as FittedJoint
from orders.core.joint import Section
from orders.models import Part


def section_of(part: Part) -> Section:
    """A part as a joint sees it: its length runs with the fibre."""
    across, along = float(part.width_mm), float(part.length_mm)
    if part.grain == Part.Grain.WIDTH:
        across, along = along, across
    return Section(width_mm=across, thickness_mm=float(part.thickness_mm), length_mm=along)


def own_dimensions(given: Mapping[str, Any] | None) -> dict[str, float | int | str]:
    """The dimensions that are given, as plain values; what is empty follows the rule of thumb.

    Raises RuleBroken beside a dimension that is neither a number nor a word.
    """
    plain: dict[str, float | int | str] = {}
    for name, value in (given or {}).items():
        if value is None or value == "":
            continue
        if isinstance(value, bool) or not isinstance(value, int | float | str | Decimal):
            raise RuleBroken(f"dimensions/{name}", f"Give {name} as a number.")
        plain[name] = float(value) if isinstance(value, Decimal) else value
    return plain


def fit(type: str, part_a: Part, part_b: Part, dimensions: Mapping[str, Any]) -> FittedJoint:
    """The joint that two parts make.

    Raises RuleBroken on "type", "part_a", "part_b" or "dimensions/<name>".
    """
    kind = joint_type(type)
    try:
        return kind.fitted(section_of(part_a), section_of(part_b), **dimensions)
    except RuleBroken as fault:
        raise RuleBroken(_place(fault.field), fault.message, nearest=fault.nearest) from fault


def _place(field: str) -> str:
    """A field of the joint book as the field of a joint's row."""
    section = field.partition("/")[0]
    return {"a": "part_a", "b": "part_b"}.get(section, f"dimensions/{field}")


def fixings_of(given: Sequence[Mapping[str, Any]]) -> tuple[Carried, ...]:
    """What each joint carries beside its glue.

    Raises RuleBroken on "fixings/<n>/fixing" or "fixings/<n>/count".
    """
    found = []
    for place, one in enumerate(given):
        try:
            count = one.get("count", 1)
            if isinstance(count, bool) or not isinstance(count, int):
                raise RuleBroken("count", "Give the number of fixings as a whole number.")
            found.append(carried(str(one.get("fixing", "")), count))
        except RuleBroken as fault:
            raise fault.under(f"fixings/{place}") from fault
    return tuple(found)


def jig_of(code: str) -> Jig | None:
    """The jig of a code, none for an empty one; raises RuleBroken on "jig"."""
    return jig(code) if code else None


def carries(study: JointStudy, given: Sequence[Mapping[str, Any]]) -> tuple[Carried, ...]:
    """The fixings, if none of them comes out on the far side; raises RuleBroken as above."""
    fixings = fixings_of(given)
    require_fixings(study, fixings)
    return fixings
