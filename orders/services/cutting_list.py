"""Cutting lists: read as a draft with a message per bad cell, stored when right, written out."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING

from django.db import transaction

from orders.core.errors import RuleBroken
from orders.core.lengths import LengthUnit, format_length
from orders.core.orderfile import MOST_PARTS
from orders.models import Assembly, Commission, Part

from .columns import NAMES, SIZES, Column, Headings, find_headings, require_headings
from .cutting_cells import CellRules
from .holding import fresh, hold_open
from .marks import Marks
from .parts import marks_of
from .reading import Reader
from .sheets import CELL_FAULTS, SheetCell, Table, csv_of, tables_in, xlsx_of
from .tree import by_assembly, by_parent

if TYPE_CHECKING:
    from shop.models import User


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftCell:
    """A cell as it came, and what to change in it; no message, no fault."""

    text: str = ""
    message: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftRow:
    """A row by the fields of a part; `line` is its line in the file, from 1."""

    line: int
    cells: Mapping[str, DraftCell]
    message: str = ""

    @property
    def is_right(self) -> bool:
        """Whether nothing in it needs a change."""
        return not self.message and not any(cell.message for cell in self.cells.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A cutting list as it was understood, to be looked at before anything is stored.

    `columns` are those understood, in the file's order; `ignored` the headings left aside.
    """

    filename: str
    unit: LengthUnit
    columns: tuple[Column, ...]
    ignored: tuple[str, ...] = ()
    rows: tuple[DraftRow, ...] = field(default_factory=tuple)

    @property
    def is_right(self) -> bool:
        """Whether it can be stored."""
        return all(row.is_right for row in self.rows)

    @property
    def fault_count(self) -> int:
        """How many cells and rows need a change."""
        return sum(
            bool(row.message) + sum(bool(cell.message) for cell in row.cells.values())
            for row in self.rows
        )


def read_cutting_list(filename: str, data: bytes, *, unit: LengthUnit | str) -> Draft:
    """A draft of a CSV or XLSX file; a bare length is in `unit` unless its heading says another.

    Raises RuleBroken on "file" when the file as a whole cannot be read.
    """
    tables = list(tables_in(data))
    found = [find_headings([[cell.text for cell in row] for row in table]) for table in tables]
    best = max(range(len(tables)), key=lambda place: len(found[place].columns))
    require_headings(found[best])
    lines = list(_lines(tables[best], found[best].row, found[best].columns))
    if not lines:
        raise RuleBroken("file", "There is no part below the headings.")
    if len(lines) > MOST_PARTS:
        raise RuleBroken("file", f"A cutting list holds {MOST_PARTS:,} parts at most; divide it.")
    return Draft(
        filename=filename,
        unit=_unit(unit),
        columns=found[best].columns,
        ignored=found[best].ignored,
        rows=_checked(found[best].columns, lines, _unit(unit)),
    )


@transaction.atomic
def store(assembly: Assembly, draft: Draft, *, by: User | None) -> list[Part]:
    """Add every part of a draft to an assembly; all of them or, with any fault, none.

    Everything is checked again. Raises NotNow if the breakdown is frozen, RuleBroken or RulesBroken
    with fields such as "rows/3/length_mm".
    """
    hold_open(assembly.commission_id)
    assembly = fresh(assembly)
    reader = Reader()
    for place, row in enumerate(draft.rows):
        _require_right(reader.under(f"rows/{place}"), row)
    reader.settle()
    texts = [{name: cell.text for name, cell in row.cells.items()} for row in draft.rows]
    rules = CellRules(draft.columns, texts, draft.unit)
    marks = Marks("P", marks_of(assembly), coming=_marks(texts))
    parts = [
        Part(assembly=assembly, **rules.read(reader.under(f"rows/{place}"), marks, row))
        for place, row in enumerate(texts)
    ]
    reader.settle()
    return list(Part.objects.bulk_create(parts, batch_size=500))


def pack(draft: Draft) -> str:
    """A draft as text, to be carried by a page between the preview and the storing."""
    columns = [[each.place, each.field, each.heading, each.unit] for each in draft.columns]
    rows = [
        [
            row.line,
            row.message,
            {name: [cell.text, cell.message] for name, cell in row.cells.items()},
        ]
        for row in draft.rows
    ]
    return json.dumps([draft.filename, draft.unit, columns, list(draft.ignored), rows])


def unpack(text: str) -> Draft:
    """The draft that was packed, checked afresh.

    Raises RuleBroken on "file" for a text that is none.
    """
    try:
        filename, unit, columns, ignored, rows = json.loads(text)
        known = tuple(
            Column(place=int(place), field=str(name), heading=str(heading), unit=str(its))
            for place, name, heading, its in columns
            if name in NAMES
        )
        lines = [
            _Line(
                line=int(line),
                message=str(message),
                cells={each.field: _unpacked(*cells[each.field]) for each in known},
            )
            for line, message, cells in rows
        ]
        read_unit = _unit(str(unit))
    except (ValueError, TypeError, LookupError) as error:
        raise RuleBroken("file", "Choose the file once more; the preview was lost.") from error
    require_headings(Headings(row=0, columns=known))
    return Draft(
        filename=str(filename),
        unit=read_unit,
        columns=known,
        ignored=tuple(str(heading) for heading in ignored),
        rows=_checked(known, lines[:MOST_PARTS], read_unit),
    )


def write_csv(commission: Commission, assembly: Assembly | None = None) -> bytes:
    """The parts of a commission, or of one of its assemblies, as CSV that `read` takes back."""
    return csv_of(_written(commission, assembly))


def write_xlsx(commission: Commission, assembly: Assembly | None = None) -> bytes:
    """The same as a workbook."""
    return xlsx_of("Cutting list", _written(commission, assembly))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """A row of the file before it is checked."""

    line: int
    cells: Mapping[str, SheetCell]
    message: str = ""


def _unit(unit: LengthUnit | str) -> LengthUnit:
    """A workshop's unit as the unit of bare lengths."""
    return LengthUnit.INCH if str(unit).startswith("in") else LengthUnit(unit)


def _unpacked(text: str, message: str) -> SheetCell:
    """A cell as it was in the file; other messages are found afresh."""
    return SheetCell(text=str(text), fault=message if message in CELL_FAULTS else "")


def _lines(table: Table, headings: int, columns: Sequence[Column]) -> Iterator[_Line]:
    """The rows below the headings that are not blank."""
    width = len(table[headings])
    for number, row in enumerate(table[headings + 1 :], start=headings + 2):
        if not any(cell.text for cell in row):
            continue
        blank = SheetCell(text="")
        yield _Line(
            line=number,
            cells={
                column.field: row[column.place] if column.place < len(row) else blank
                for column in columns
            },
            message=(
                "This row has more cells than there are headings; put a length with a decimal"
                " comma in quotation marks, or separate cells by semicolons."
                if any(cell.text for cell in row[width:])
                else ""
            ),
        )


def _checked(
    columns: Sequence[Column], lines: Sequence[_Line], unit: LengthUnit
) -> tuple[DraftRow, ...]:
    """The rows with a message in every bad cell."""
    texts = [{name: cell.text for name, cell in line.cells.items()} for line in lines]
    rules = CellRules(columns, texts, unit)
    marks = Marks("P", coming=_marks(texts))
    return tuple(
        _checked_row(rules, marks, line, row) for line, row in zip(lines, texts, strict=True)
    )


def _checked_row(rules: CellRules, marks: Marks, line: _Line, texts: Mapping[str, str]) -> DraftRow:
    reader = Reader()
    rules.read(reader, marks, texts)
    said: dict[str, str] = {}
    for fault in reader.faults:
        said.setdefault(fault.field, fault.message)
    return DraftRow(
        line=line.line,
        message=line.message,
        cells={
            name: DraftCell(text=cell.text, message=cell.fault or said.get(name, ""))
            for name, cell in line.cells.items()
        },
    )


def _require_right(reader: Reader, row: DraftRow) -> None:
    if row.message:
        reader.refuse("line", row.message)
    for name, cell in row.cells.items():
        if cell.message:
            reader.refuse(name, cell.message)


def _marks(texts: Sequence[Mapping[str, str]]) -> list[str]:
    return [row.get("mark", "") for row in texts]


def _written(commission: Commission, only: Assembly | None) -> Iterator[Sequence[object]]:
    """The heading row, then a row for each part in the order of the assemblies."""
    unit = _unit(commission.workshop.unit)
    sizes = [f"{name.removesuffix('_mm')} ({unit})" for name in SIZES]
    yield ["assembly", "mark", "part", "species", *sizes, "quantity", "grain", "note"]
    here = {"assembly__commission": commission, **({"assembly": only} if only else {})}
    parts = by_assembly(Part.objects.filter(**here).order_by("pk"))
    for assembly in _in_tree(by_parent(commission.assemblies.order_by("position", "pk"))):
        for part in parts.get(assembly.pk, []):
            yield [
                assembly.name,
                part.mark,
                part.name,
                part.species,
                *(_shown(getattr(part, name), unit) for name in SIZES),
                part.quantity,
                part.grain,
                part.note,
            ]


def _in_tree(
    children: Mapping[int | None, Sequence[Assembly]], parent: int | None = None
) -> Iterator[Assembly]:
    for assembly in children.get(parent, []):
        yield assembly
        yield from _in_tree(children, assembly.pk)


def _shown(length_mm: Decimal, unit: LengthUnit) -> object:
    """Millimetres as a number, inches as they are written."""
    return float(length_mm) if unit is LengthUnit.MM else format_length(length_mm, unit)
