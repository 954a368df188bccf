"""The job sheet: the paper that travels with an assembly through the shop."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from costing.documents.codes import qr_svg
from costing.documents.press import printed
from costing.services.job_sheets import JobOperation, JobSheet
from costing.services.papers import Shop
from orders.core import drawing
from orders.core.joint import Unit
from orders.core.solids import View
from orders.services.breakdown import JointLine
from orders.web.formats import STUCK, figure

APART_PX, VIEW_PX = 225.0, 135.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A joint as it is drawn on the sheet, with its own dimensions in words and figures."""

    line: JointLine
    a: str
    b: str
    apart: SafeString
    front: SafeString
    above: SafeString
    dimensions: tuple[tuple[str, str], ...]


def job_sheets_pdf(sheets: Sequence[JobSheet]) -> bytes:
    """One job sheet or more, one after another, each with its own count of pages."""
    first = sheets[0]
    title = "" if len(sheets) == 1 else f"{first.commission} job sheets, {first.title}"
    return printed([_page(sheet) for sheet in sheets], title=title)


def _page(sheet: JobSheet) -> str:
    return render_to_string(
        "documents/job_sheet.html",
        {
            "sheet": sheet,
            "shop": sheet.shop,
            "made_on": sheet.on,
            "project": sheet.title,
            "species": sorted({part.species_label for part in sheet.parts}),
            "plates": [_plate(sheet, joint) for joint in sheet.joints],
            "operations": [(operation, _code(operation)) for operation in sheet.operations],
        },
    )


def _code(operation: JobOperation) -> str:
    title = f"Code that opens the clock page of {operation.mark}"
    return qr_svg(operation.address, title) if operation.address else ""


def _plate(sheet: JobSheet, line: JointLine) -> Plate:
    names = {part.id: f"{part.mark} {part.name}" for part in sheet.parts}
    a, b = names.get(line.part_a, line.mark_a), names.get(line.part_b, line.mark_b)
    geometry = line.study.geometry
    unit = sheet.shop.length_unit
    ident = f"j{line.id}"
    labels = {"a": line.mark_a, "b": line.mark_b}
    return Plate(
        line=line,
        a=a,
        b=b,
        apart=_drawn(
            drawing.isometric(geometry, ident=ident, labels=labels, unit=unit, fit_px=APART_PX)
        ),
        front=_drawn(
            drawing.view(geometry, View.FRONT, unit, ident=f"{ident}-front", fit_px=VIEW_PX)
        ),
        above=_drawn(
            drawing.view(geometry, View.TOP, unit, ident=f"{ident}-above", fit_px=VIEW_PX)
        ),
        dimensions=tuple(_dimensions(line, sheet.shop)),
    )


def _dimensions(line: JointLine, shop: Shop) -> Iterator[tuple[str, str]]:
    """The joint's own dimensions as the bench reads them."""
    values = line.study.joint.own_dimensions()
    for field in line.study.joint.fields():
        if field.name in values:
            yield field.label, _written(values[field.name], field.unit, shop)
    if line.fixings:
        yield "fixings", ", ".join(carried.label for carried in line.fixings)
    if line.jig:
        yield "jig", line.jig.label


def _written(value: float | str, unit: Unit, shop: Shop) -> str:
    if isinstance(value, str):
        return value.replace("-", " ")
    if unit is Unit.MM:
        suffix = f"{STUCK}mm" if shop.unit == "mm" else '"'
        return f"{drawing.figure(value, shop.unit)}{suffix}"
    if unit is Unit.DEGREE:
        return f"{value:g}°"
    if unit is Unit.RATIO:
        return f"1{STUCK}:{STUCK}{figure(value, 1).removesuffix('.0')}"
    return f"{value:g}"


def _drawn(svg: str) -> SafeString:
    """A drawing of the core, which escapes every word it is given, dressed for paper."""
    return mark_safe(drawing.for_paper(svg))
