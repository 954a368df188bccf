"""Tables that come and go as files: CSV in any usual encoding, and XLSX."""

from __future__ import annotations

import csv
import io
import re
import warnings
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from openpyxl import Workbook, load_workbook
from openpyxl.utils.exceptions import InvalidFileException

from orders.core.errors import RuleBroken

MOST_BYTES = 5_000_000
MOST_UNPACKED_BYTES = 100_000_000
MOST_LINES = 100_000
DELIMITERS = (",", ";", "\t")
ZIP, OLD_EXCEL = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
XLSX_FAULTS = (
    InvalidFileException,
    zipfile.BadZipFile,
    SyntaxError,
    KeyError,
    ValueError,
    TypeError,
    AttributeError,
    IndexError,
    OSError,
    EOFError,
    NotImplementedError,
    RuntimeError,
)
"""What the reader of workbooks raises for files that are damaged or only look like one; a fault of
its XML is a SyntaxError in both parsers it may use."""

FORMULA = "This cell is a formula; paste its value instead."
ERROR = "This cell is an error; type its value instead."
DATE = 'This cell is a date; type a fraction as text, as 3/4".'
CELL_FAULTS = frozenset({FORMULA, ERROR, DATE})
RISKY = re.compile(r"'*[=+\-@\t\r]")
GUARDED = re.compile(r"'+[=+\-@\t\r]")


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetCell:
    """A cell as text, and what is wrong with it by itself."""

    text: str
    fault: str = ""


Table = list[list[SheetCell]]


def tables_in(data: bytes) -> Iterator[Table]:
    """The table of a file, in each way it may be read: a workbook in one, CSV by each delimiter.

    Raises RuleBroken on "file" for what is too large, damaged, or of no known kind.
    """
    if len(data) > MOST_BYTES:
        raise RuleBroken("file", "The file is larger than 5 MB; divide it.")
    if not data.strip():
        raise RuleBroken("file", "The file is empty.")
    if data.startswith(OLD_EXCEL):
        raise RuleBroken("file", "This is an old workbook; save it as .xlsx or as CSV.")
    if data.startswith(ZIP):
        yield _workbook(data)
        return
    text = _decoded(data)
    for delimiter in DELIMITERS:
        yield _csv(text, delimiter)


def csv_of(rows: Iterable[Sequence[object]]) -> bytes:
    """Rows as CSV in UTF-8, with the mark by which spreadsheets know it."""
    file = io.StringIO(newline="")
    csv.writer(file).writerows([_guarded(value) for value in row] for row in rows)
    return file.getvalue().encode("utf-8-sig")


def xlsx_of(title: str, rows: Iterable[Sequence[object]]) -> bytes:
    """Rows as a workbook of one sheet."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet(title)
    for row in rows:
        sheet.append([_guarded(value) for value in row])
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def _guarded(value: object) -> object:
    """Text that a spreadsheet would take for a formula, behind an apostrophe."""
    return f"'{value}" if isinstance(value, str) and RISKY.match(value) else value


def _cell(text: str) -> SheetCell:
    """A cell of text; the apostrophe that guarded it is taken off."""
    if GUARDED.match(text):
        return SheetCell(text=text[1:])
    return SheetCell(text=text, fault=FORMULA if text.lstrip().startswith("=") else "")


def _decoded(data: bytes) -> str:
    """The text of a CSV file, in UTF-8, UTF-16 or Windows 1252."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings = ["utf-16"]
    elif b"\x00" in data[:200]:
        encodings = ["utf-16-le" if data[1:2] == b"\x00" else "utf-16-be"]
    else:
        encodings = ["utf-8-sig", "cp1252"]
    for encoding in encodings:
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise RuleBroken("file", "The file is in an unknown encoding; save it as CSV in UTF-8.")


def _csv(text: str, delimiter: str) -> Table:
    try:
        rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
        return _limited([_cell(cell.strip()) for cell in row] for row in rows)
    except csv.Error as error:
        raise RuleBroken("file", "The file is no CSV: a quotation mark is not closed.") from error


def _workbook(data: bytes) -> Table:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as parts:
            unpacked = sum(part.file_size for part in parts.infolist())
        if unpacked > MOST_UNPACKED_BYTES:
            raise RuleBroken("file", "The workbook is larger than 100 MB unpacked; divide it.")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book = load_workbook(io.BytesIO(data), read_only=True, data_only=False)
            try:
                sheet = book.worksheets[0]
                sheet.reset_dimensions()
                return _limited([_typed(cell) for cell in row] for row in sheet.iter_rows())
            finally:
                book.close()
    except XLSX_FAULTS as error:
        raise RuleBroken(
            "file", "The workbook cannot be read; save it again as .xlsx, or as CSV."
        ) from error


def _limited(rows: Iterable[list[SheetCell]]) -> Table:
    table = []
    for number, row in enumerate(rows, start=1):
        if number > MOST_LINES:
            raise RuleBroken("file", f"The file has more than {MOST_LINES:,} rows; divide it.")
        table.append(row)
    return table


def _typed(cell: Any) -> SheetCell:
    """A workbook's cell as it would be typed."""
    value = cell.value
    if value is None:
        return SheetCell(text="")
    if cell.data_type == "f":
        return SheetCell(text=str(value), fault=FORMULA)
    if cell.data_type == "e":
        return SheetCell(text=str(value), fault=ERROR)
    if isinstance(value, datetime | date | time):
        return SheetCell(text=str(value), fault=DATE)
    if isinstance(value, float):
        return SheetCell(text=f"{value:.6f}".rstrip("0").rstrip("."))
    return _cell(str(value).strip())
