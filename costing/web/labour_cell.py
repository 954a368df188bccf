"""One operation of a joint type: its times drawn and told, and the clockings behind it."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from costing.services.labour import joint_label
from costing.services.labour_cell import CellLabour, cell_labour
from costing.web.labour_ask import MAY_SEE, ZONE, AskWithinForm
from orders.web.access import WorkshopRequest, needs


@require_safe
@needs(MAY_SEE, zone=ZONE)
def labour_behind(request: WorkshopRequest) -> HttpResponse:
    """The strip, the trend, the groups and the clockings.

    Who clocked is told only to those who see the time book, how hands compare only to the owner.
    """
    form = AskWithinForm(request.GET, workshop=request.workshop)
    joint, operation = request.GET.get("joint", ""), request.GET.get("operation", "")
    cell = cell_labour(request.workshop, joint, operation, form.asked())
    return render(
        request,
        "costing/labour_behind.html",
        {
            "form": form,
            "joint": joint_label(joint),
            "cell": cell,
            "groups": cell.groups(with_hands=request.user.has_perm("costing.see_hand_effects")),
            "total": sum(stretch.minutes for stretch in cell.stretches),
            "pieces": sum(stretch.pieces for stretch in cell.stretches),
            "today": timezone.localdate(),
            **plots_of(cell),
        },
    )


def plots_of(cell: CellLabour) -> dict[str, Any]:
    """The strip and the trend; nothing without a batch."""
    from costing.web.labour_plots import Dot, Reach, strip, trend  # takes a second to load

    dots = [
        Dot(
            ratio=batch.taken_min / batch.standard_min,
            on=batch.ended_on,
            is_doubtful=cell.is_doubtful(batch),
        )
        for batch in cell.batches
    ]
    if not dots:
        return {}
    reaches = [
        Reach(ratio=one.each_ratio, low=one.each_low, high=one.each_high)
        for one in sorted(cell.learned, key=lambda one: -one.effective)
    ]
    months = {(dot.on.year, dot.on.month) for dot in dots}
    return {
        "strip": strip(dots, cell.spread, next(iter(reaches), None)),
        "trend": trend(dots) if len(months) > 1 else "",
    }
