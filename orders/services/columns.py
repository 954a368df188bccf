"""The columns of a cutting list, known by their headings in any order."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from orders.core.errors import RuleBroken

NAMES: Mapping[str, tuple[str, ...]] = {
    "mark": ("mark", "ref", "reference", "item", "label", "code", "id"),
    "name": ("part", "name", "part name", "description", "component", "piece"),
    "species": ("species", "timber", "wood", "material"),
    "length_mm": ("length", "len", "l", "finished length", "long"),
    "width_mm": ("width", "w", "finished width", "wide"),
    "thickness_mm": ("thickness", "thick", "thk", "t", "th", "finished thickness"),
    "quantity": ("quantity", "qty", "no", "number", "count", "pieces", "pcs", "number off", "off"),
    "grain": ("grain", "grain direction", "grain along"),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
}
"""Usual headings of each field; common practice, no source."""

FIELDS: Mapping[str, str] = {name: field for field, names in NAMES.items() for name in names}
NEEDED = ("name", "species", "length_mm", "width_mm", "thickness_mm")
SIZES = ("length_mm", "width_mm", "thickness_mm")
HEADINGS_WITHIN = 20
"""The heading row stands within so many rows; a title may stand above it."""

LONGEST_HEADING = 60

_WITH_UNIT = re.compile(
    r"(?P<name>.*?)(?:\s*[(\[]\s*|\s+|,\s*)(?P<unit>mm|cm|m|in|inch|inches|\")\.?\s*[)\]]?"
)
_UNITS = {"inch": "in", "inches": "in", '"': "in"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column that is understood; `unit` is what its heading says a bare number is in."""

    place: int
    field: str
    heading: str
    unit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Headings:
    """The heading row: where it stands, what is understood and what is left aside."""

    row: int
    columns: tuple[Column, ...]
    ignored: tuple[str, ...] = ()


def find_headings(table: Sequence[Sequence[str]]) -> Headings:
    """The row among the first that holds most headings."""
    found = [_headings(place, row) for place, row in enumerate(table[:HEADINGS_WITHIN])]
    return max(found, key=lambda headings: len(headings.columns), default=_headings(0, []))


def require_headings(headings: Headings) -> None:
    """Raise RuleBroken on "file" when a needed heading is missing or stands twice."""
    fields = [column.field for column in headings.columns]
    missing = [NAMES[field][0] for field in NEEDED if field not in fields]
    if missing:
        raise RuleBroken(
            "file",
            f"No column is headed {' or '.join(missing)}; give the first row the headings"
            " part, species, length, width, thickness and quantity.",
        )
    for field in fields:
        twice = [column.heading for column in headings.columns if column.field == field]
        if len(twice) > 1:
            raise RuleBroken(
                "file",
                f"The columns {' and '.join(twice)} both give the {NAMES[field][0]};"
                " take one of them out.",
            )


def _headings(place: int, row: Sequence[str]) -> Headings:
    columns, ignored = [], []
    for number, heading in enumerate(row):
        column = _column(number, heading)
        if column:
            columns.append(column)
        elif heading.strip():
            ignored.append(heading.strip())
    return Headings(row=place, columns=tuple(columns), ignored=tuple(ignored))


def _column(place: int, heading: str) -> Column | None:
    if len(heading) > LONGEST_HEADING:
        return None
    words = " ".join(heading.lower().replace("_", " ").split())
    found = _WITH_UNIT.fullmatch(words)
    name, unit = (found["name"], found["unit"]) if found else (words, "")
    field = FIELDS.get(name.strip(" .:"))
    if field is None or (unit and field not in SIZES):
        return None
    return Column(place=place, field=field, heading=heading.strip(), unit=_UNITS.get(unit, unit))
