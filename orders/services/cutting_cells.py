"""How the cells of a cutting list are read: lengths in their units, timber, quantity and grain."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from orders.core.errors import RuleBroken
from orders.core.lengths import LengthUnit, parse_length
from orders.core.species import all_species

from .columns import SIZES, Column
from .marks import Marks
from .parts import read_part
from .reading import Reader

BARE = re.compile(r"\d+(?:[.,]\d+)?|[.,]\d+")
METRIC = re.compile(r"(?:mm|cm|m)\s*$", re.IGNORECASE)
IMPERIAL = re.compile(r"[/'\"″”′’⁄½¼¾⅛⅜⅝⅞]|(?:in|inch|inches|ft|feet|foot)\s*$", re.IGNORECASE)
COMMA = re.compile(r"\d,\d")
POINT_AND_THREE = re.compile(r"[1-9]\d{0,2}\.\d{3}")
GRAINS: Mapping[str, str] = {
    **dict.fromkeys(("", "length", "l", "long", "along", "along the length"), "length"),
    **dict.fromkeys(("width", "w", "across", "along the width"), "width"),
}
LONGEST_TEXT = 40
"""Characters of a length as written; more are no length and would be slow to take apart."""

ANY_MM = Decimal(100)
"""Stands in for a size that could not be read, so that the other cells are read all the same."""


class CellRules:
    """How the cells of one cutting list are read: its units, and whether they are mixed."""

    def __init__(
        self, columns: Sequence[Column], rows: Sequence[Mapping[str, str]], unit: LengthUnit
    ) -> None:
        self.columns = {column.field: column for column in columns}
        self.unit = unit
        texts = {name: [row.get(name, "")[:LONGEST_TEXT] for row in rows] for name in SIZES}
        self.mixed = {name for name in SIZES if self._is_mixed(name, texts[name])}
        self.has_commas = any(COMMA.search(text) for each in texts.values() for text in each)

    def read(self, reader: Reader, marks: Marks, texts: Mapping[str, str]) -> dict[str, Any]:
        """The fields of a part; faults stay with the reader."""
        sizes = {name: self._size(reader, name, texts.get(name, "")) for name in SIZES}
        grain = texts.get("grain", "").lower()
        return read_part(
            reader,
            marks,
            name=texts.get("name", ""),
            species=species_code(texts.get("species", "")),
            quantity=_quantity(texts.get("quantity", "")),
            grain=GRAINS.get(grain, grain),
            mark=texts.get("mark", ""),
            note=texts.get("note", ""),
            **sizes,
        )

    def _size(self, reader: Reader, name: str, text: str) -> Decimal:
        with reader.keeping():
            self._require_clear(name, text)
            its = self.columns[name].unit or self.unit
            if its in ("cm", "m") and BARE.fullmatch(text):
                return parse_length(f"{text} {its}", field=name)
            return parse_length(text, LengthUnit.INCH if its == "in" else LengthUnit.MM, field=name)
        return ANY_MM

    def _require_clear(self, name: str, text: str) -> None:
        """Refuse what is far too long, and a length that may mean two things in this list."""
        if len(text) > LONGEST_TEXT:
            raise RuleBroken(
                name, f'{text[:20]}… is not a length; write it as 900, 30.5 or 1 3/16".'
            )
        if name in self.mixed and BARE.fullmatch(text):
            raise RuleBroken(
                name,
                "This column mixes inches and millimetres; write the unit beside this length, as"
                f' {text} mm or {text}".',
            )
        if self.has_commas and POINT_AND_THREE.fullmatch(text):
            raise RuleBroken(
                name,
                f"{text} may mean thousands or thousandths in a list with decimal commas; write"
                f" {text.replace('.', '')} or {text.replace('.', ',')}0.",
            )

    def _is_mixed(self, name: str, texts: Sequence[str]) -> bool:
        """Whether bare lengths stand beside some that state a unit of the other kind."""
        if name not in self.columns or self.columns[name].unit:
            return False
        kinds = {kind for text in texts if (kind := _kind(text))}
        return bool(kinds - {self.unit.value}) and any(BARE.fullmatch(text) for text in texts)


def species_code(text: str) -> str:
    """The code of a species named by code or label; what is neither is left as it is."""
    words = " ".join(text.lower().split())
    labels = {kind.label.lower(): code for code, kind in all_species().items()}
    return labels.get(words, words.replace(" ", "-") if words else "")


def _kind(text: str) -> str:
    """Whether a length states inches or millimetres; empty if it is bare."""
    if IMPERIAL.search(text):
        return LengthUnit.INCH.value
    return LengthUnit.MM.value if METRIC.search(text) else ""


def _quantity(text: str) -> Any:
    """The quantity to read: one where none is given, and 2,0 as 2.0."""
    return text.replace(",", ".") if text else 1
