"""Labour per joint type: what was estimated, what was taken, where it was lost; and as a file."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from costing.core.labour import LabourLine
from costing.models import LabourFit, LearnedCell
from costing.services import learning
from costing.services.hourly import rates_on
from costing.services.labour import JointLabour, labour
from costing.web.labour_ask import MAY_JUDGE, MAY_SEE, ZONE, AskForm
from orders.services.sheets import csv_of, xlsx_of
from orders.web.access import WorkshopRequest, needs
from shop.models import Job
from shop.web.jobs import drawn as job_drawn

WIDTH, MIDDLE, EDGE = 160.0, 80.0, 4.0
WIDEST = math.log(4)
"""The strip goes from a quarter of the standard to four times it."""

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
HEAD = (
    "joint type",
    "operation",
    "clockings",
    "pieces",
    "standard min",
    "taken min",
    "taken over standard",
    "low",
    "high",
    "learned by hand",
    "learned by machine",
    "lost min",
)
MONEY_HEAD = "lost"


@dataclass(frozen=True, slots=True)
class Strip:
    """Taken over standard as a drawing: the standard in the middle, the interval about the ratio."""

    at: float
    low: float | None
    high: float | None


def strip_of(line: LabourLine) -> Strip:
    """The strip of a line, on a scale of ratios."""
    low, high = (None if end is None else place_of(end) for end in (line.low, line.high))
    return Strip(at=place_of(line.ratio), low=low, high=high)


def place_of(ratio: float) -> float:
    """Where a ratio stands on the strip; what lies beyond its ends stands at them."""
    share = max(-1.0, min(1.0, math.log(ratio) / WIDEST))
    return round(MIDDLE + share * (MIDDLE - EDGE), 1)


def seen(request: WorkshopRequest) -> tuple[AskForm, tuple[JointLabour, ...]]:
    """What was asked, and what there is; money only for those who see the rates."""
    form = AskForm(request.GET or None, workshop=request.workshop)
    rates = None
    if request.user.has_perm("costing.see_rates"):
        rates = rates_on(request.workshop, timezone.localdate())
    return form, labour(request.workshop, form.asked() if form.is_bound else None, rates)


@require_safe
@needs(MAY_SEE, zone=ZONE)
def labour_page(request: WorkshopRequest) -> HttpResponse:
    """Every joint type with its operations, and where the shop loses."""
    form, found = seen(request)
    fit = learning.fit_of(request.workshop)
    learned = learned_by_place(fit)
    return render(
        request,
        "costing/labour.html",
        {
            "form": form,
            "joints": [(joint, drawn(joint, learned)) for joint in found],
            "plot": losses_of(found, request.workshop.currency),
            "standard_min": sum(joint.standard_min for joint in found),
            "taken_min": sum(joint.taken_min for joint in found),
            "clockings": sum(joint.clockings for joint in found),
            "is_filtered": form.is_bound and bool(form.has_changed()),
            "today": timezone.localdate(),
            "fit": fit,
            "doubts": fit.doubts.count() if fit else 0,
            **learning_state(request),
        },
    )


def learning_state(request: WorkshopRequest) -> dict[str, Any]:
    """The job that learns, while it goes on or if it failed."""
    last = Job.objects.of(request.workshop).filter(kind=learning.KIND).first()
    if last and not last.is_finished:
        return job_drawn(request, last)
    return {"failed": last} if last and last.state == Job.State.FAILED else {}


Learned = dict[tuple[str, str], list[LearnedCell]]


def learned_by_place(fit: LabourFit | None) -> Learned:
    """What was learned of each operation of a joint type, by hand and by machine."""
    found: Learned = {}
    for cell in fit.cells.all() if fit else ():
        found.setdefault((cell.joint, cell.operation), []).append(cell)
    return found


def drawn(joint: JointLabour, learned: Learned) -> list[dict[str, Any]]:
    """The operations of a joint type with their strips and what was learned of them."""
    return [
        {
            "name": one.name,
            "line": one.line,
            "lost": one.lost,
            "strip": strip_of(one.line),
            "learned": learned.get((joint.code, one.line.operation), []),
        }
        for one in joint.operations
    ]


def losses_of(found: Sequence[JointLabour], currency: str) -> str:
    """The plot of what was lost, in money if it is known, else in hours; "" for nothing."""
    from costing.web.labour_plots import losses  # the plotting library takes a second to load

    ones = [(joint, one) for joint in found for one in joint.operations]
    if not ones:
        return ""
    has_money = all(one.lost is not None for _, one in ones)
    rows = [
        (f"{joint.label}, {one.name.lower()}", float(one.lost or 0) if has_money else hours)
        for joint, one in ones
        for hours in [one.lost_min / 60]
    ]
    return losses(rows, currency if has_money else "hours")


@require_POST
@needs(MAY_JUDGE, zone=ZONE)
def labour_learn(request: WorkshopRequest) -> HttpResponse:
    """Have the clockings learned from now."""
    return redirect("job", pk=learning.ask_to_learn(request.workshop, by=request.user).pk)


@require_safe
@needs(MAY_SEE, zone=ZONE)
def labour_csv(request: WorkshopRequest) -> HttpResponse:
    """The table as CSV."""
    return as_file(csv_of(rows_of(request)), "csv", "text/csv; charset=utf-8")


@require_safe
@needs(MAY_SEE, zone=ZONE)
def labour_xlsx(request: WorkshopRequest) -> HttpResponse:
    """The table as a workbook."""
    return as_file(xlsx_of("Labour", rows_of(request)), "xlsx", XLSX)


def rows_of(request: WorkshopRequest) -> Iterator[list[object]]:
    """The table with its head; money only for those who see the rates."""
    _, found = seen(request)
    learned = learned_by_place(learning.fit_of(request.workshop))
    has_money = any(one.lost is not None for joint in found for one in joint.operations)
    yield [*HEAD, *([MONEY_HEAD] if has_money else [])]
    for joint in found:
        for one in joint.operations:
            line = one.line
            by_way = {cell.method: cell for cell in learned.get((joint.code, line.operation), [])}
            both = by_way.get("both")
            ways = [by_way.get(way, both) for way in ("hand", "machine")]
            yield [
                joint.label,
                one.name,
                line.clockings,
                line.pieces,
                round(line.standard_min, 1),
                round(line.taken_min, 1),
                round(line.ratio, 3),
                *("" if end is None else round(end, 3) for end in (line.low, line.high)),
                *("" if cell is None else round(cell.each_ratio, 3) for cell in ways),
                round(one.lost_min, 1),
                *([float(round(one.lost, 2))] if one.lost is not None else []),
            ]


def as_file(data: bytes, ending: str, content_type: str) -> HttpResponse:
    """A file to be saved."""
    response = HttpResponse(data, content_type=content_type)
    name = f"labour-{timezone.localdate()}.{ending}"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
