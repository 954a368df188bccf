"""From rows to the joint book: the joint that two parts make, by its type and dimensions."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from orders.core.book import joint_type
from orders.core.errors import RuleBroken
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
