"""Cutting lists on the screen: read one in through a preview that is corrected cell by cell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_safe

from orders.core.errors import RulesBroken, WorkshopError
from orders.services.cutting_list import (
    Draft,
    DraftCell,
    DraftRow,
    pack,
    read_cutting_list,
    store,
    unpack,
    write_csv,
    write_xlsx,
)

from .access import WorkshopRequest, needs
from .formats import unit_of
from .forms import SheetForm, faults_in
from .found import assembly_of, commission_of, refused

ZONE = "commissions"
LARGEST_BYTES = 5_000_000
MOST_EDITED = 60
MOST_SHOWN = 200
LABELS: Mapping[str, str] = {
    "mark": "mark",
    "name": "part",
    "species": "species",
    "thickness_mm": "thickness",
    "width_mm": "width",
    "length_mm": "length",
    "quantity": "pieces",
    "grain": "grain",
    "note": "note",
}
WIDE = ("name", "species", "note")
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class CuttingListForm(SheetForm):
    """A file with one part a row."""

    takes_focus = False
    file = forms.FileField(
        label="Cutting list, CSV or XLSX",
        widget=forms.FileInput(attrs={"accept": ".csv,.xlsx,.txt,text/csv"}),
    )

    def clean_file(self) -> Any:
        """Refuse what is too large to be a cutting list."""
        sent = self.cleaned_data["file"]
        if sent.size > LARGEST_BYTES:
            raise forms.ValidationError("A cutting list holds 5 MB at most; divide it.")
        return sent


@dataclass(frozen=True, slots=True, kw_only=True)
class PreviewCell:
    """A cell as it is shown: its text, its fault, and the name of its field."""

    field: str
    label: str
    text: str
    message: str

    @property
    def is_wide(self) -> bool:
        """Whether it holds words."""
        return self.label in (LABELS[name] for name in WIDE)


@dataclass(frozen=True, slots=True, kw_only=True)
class PreviewRow:
    """A row as it is shown; only rows with a fault are edited."""

    place: int
    line: int
    message: str
    cells: tuple[PreviewCell, ...]
    is_edited: bool


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def cutting_list_import(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Read a cutting list into an assembly: send it, look at it, correct it, store it."""
    assembly = assembly_of(request, pk)
    if back := refused(request, assembly.commission):
        return back
    draft: Draft | None = None
    is_sent = request.method == "POST" and "packed" not in request.POST
    form = CuttingListForm(
        request.POST if is_sent else None,
        request.FILES if is_sent else None,
        workshop=request.workshop,
    )
    if is_sent and form.is_valid():
        with faults_in(form):
            sent = form.cleaned_data["file"]
            unit = unit_of(request.workshop)
            draft = read_cutting_list(sent.name, sent.read(), unit=unit)
    elif "packed" in request.POST:
        draft = corrected(request)
        if draft is not None and draft.is_right and "store" in request.POST:
            try:
                parts = store(assembly, draft, by=request.user)
            except WorkshopError as error:
                draft = marked(draft, error)
                messages.error(request, "Nothing is stored yet; put right what is marked.")
            else:
                messages.success(request, f"{len(parts)} parts are read into {assembly.name}.")
                return redirect("assembly", pk=assembly.pk)
    return render(
        request,
        "orders/cutting_list_import.html",
        {"assembly": assembly, "commission": assembly.commission, "form": form, **preview(draft)},
    )


def corrected(request: WorkshopRequest) -> Draft | None:
    """The draft of the page with the cells as they were typed, checked afresh."""
    try:
        draft = unpack(request.POST["packed"])
    except WorkshopError as error:
        messages.error(request, error.message)
        return None
    rows = [
        retyped(row, place, request.POST)
        for place, row in enumerate(draft.rows)
        if f"leave/{place}" not in request.POST
    ]
    return unpack(pack(replace(draft, rows=tuple(rows))))


def retyped(row: DraftRow, place: int, typed: Mapping[str, str]) -> DraftRow:
    """The row with what was typed into its cells; a fault of the whole row was looked at."""
    cells = {
        name: DraftCell(text=typed.get(f"rows/{place}/{name}", cell.text)[:200].strip())
        for name, cell in row.cells.items()
    }
    was_edited = any(f"rows/{place}/{name}" in typed for name in row.cells)
    return replace(row, cells=cells, message="" if was_edited else row.message)


def marked(draft: Draft, error: WorkshopError) -> Draft:
    """The draft with the faults that came up while it was stored, each in its cell."""
    rows = list(draft.rows)
    for fault in error.errors if isinstance(error, RulesBroken) else (error,):
        _, place, name = (*getattr(fault, "field", "").split("/"), "", "", "")[:3]
        if not place.isdecimal() or int(place) >= len(rows):
            continue
        row = rows[int(place)]
        if name in row.cells:
            cell = replace(row.cells[name], message=fault.message)
            rows[int(place)] = replace(row, cells={**row.cells, name: cell})
        else:
            rows[int(place)] = replace(row, message=fault.message)
    return replace(draft, rows=tuple(rows))


def preview(draft: Draft | None) -> dict[str, Any]:
    """What the page shows of a draft: every row at fault first to be edited, the others as text."""
    if draft is None:
        return {"draft": None}
    wrong = [place for place, row in enumerate(draft.rows) if not row.is_right]
    edited = set(wrong[:MOST_EDITED])
    shown = [*wrong, *(p for p, row in enumerate(draft.rows) if row.is_right)][:MOST_SHOWN]
    rows = [shown_row(draft, place, place in edited) for place in sorted(shown)]
    return {
        "draft": draft,
        "packed": pack(draft),
        "headings": [LABELS.get(column.field, column.field) for column in draft.columns],
        "rows": rows,
        "wrong_count": len(wrong),
        "hidden_count": len(draft.rows) - len(rows),
    }


def shown_row(draft: Draft, place: int, is_edited: bool) -> PreviewRow:
    """One row of the preview."""
    row = draft.rows[place]
    return PreviewRow(
        place=place,
        line=row.line,
        message=row.message,
        is_edited=is_edited,
        cells=tuple(
            PreviewCell(
                field=f"rows/{place}/{column.field}",
                label=LABELS.get(column.field, column.field),
                text=row.cells[column.field].text,
                message=row.cells[column.field].message,
            )
            for column in draft.columns
        ),
    )


@require_safe
@needs("orders.see_commissions", zone=ZONE)
def cutting_list_csv(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Every part of a commission as CSV."""
    commission = commission_of(request, pk)
    return as_file(write_csv(commission), commission, "csv", "text/csv; charset=utf-8")


@require_safe
@needs("orders.see_commissions", zone=ZONE)
def cutting_list_xlsx(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Every part of a commission as a workbook."""
    commission = commission_of(request, pk)
    return as_file(write_xlsx(commission), commission, "xlsx", XLSX)


def as_file(data: bytes, commission: Any, ending: str, content_type: str) -> HttpResponse:
    """A file to be saved, named for its commission."""
    name = slugify(f"{commission.mark} {commission.title} cutting list")
    response = HttpResponse(data, content_type=content_type)
    response["Content-Disposition"] = f'attachment; filename="{name}.{ending}"'
    return response
