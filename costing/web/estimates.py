"""The estimate of a commission: a price that unfolds, and how sure it is."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from costing.core.estimate import Estimate
from costing.services.estimating import basis_for, priced
from costing.web.spread import spread_of
from costing.web.unfold import unfolding
from orders.core.errors import WorkshopError
from orders.models import Commission
from orders.web.access import WorkshopRequest, needs
from orders.web.formats import STUCK, figure, whole_money
from orders.web.found import commission_of

ZONE = "commissions"
PAGE_PX, EVERY_LEVEL = 640.0, 99
PANEL_PX, PANEL_LEVELS = 312.0, 2
MOST_RISKS = 6


@require_safe
@needs("costing.see_estimates", zone=ZONE)
def estimate_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """What the commission would cost today, and be offered for."""
    commission = commission_of(request, pk)
    shown = {"commission": commission, "today": timezone.localdate()}
    return render(request, "costing/estimate.html", {**shown, **estimate_in(commission)})


@require_safe
@needs("costing.see_estimates", zone=ZONE)
def estimate_panel(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The same in short, for the margin of the commission."""
    commission = commission_of(request, pk)
    shown = {"commission": commission, **estimate_in(commission, PANEL_PX, PANEL_LEVELS)}
    return render(request, "costing/estimate_panel.html", shown)


def estimate_in(
    commission: Commission, width: float = PAGE_PX, depth: int = EVERY_LEVEL
) -> dict[str, Any]:
    """The estimate as a page shows it, or the sentence that says what is missing."""
    try:
        basis = basis_for(commission, timezone.localdate())
        estimate = priced(basis)
        glue = basis.glue_statement
    except WorkshopError as fault:
        return {"fault": fault.message}
    if not estimate.net:
        return {"is_empty": True}
    return {
        "estimate": estimate,
        "basis": basis,
        "glue": glue,
        "lines": unfolding(estimate.lines, estimate.currency, depth=depth),
        **drawn(estimate, width),
        **tabled(estimate),
    }


def drawn(estimate: Estimate, width: float) -> dict[str, Any]:
    """How sure the cost and the hours are, as drawings."""
    return {
        "price_spread": spread_of(
            estimate.expected_cost,
            whole_money,
            noun=f"Cost in {estimate.currency}",
            price=float(estimate.net),
            width=width,
        ),
        "hours_spread": spread_of(
            estimate.hours,
            lambda value: f"{figure(value)}{STUCK}h",
            noun="Hours",
            width=PANEL_PX,
        ),
    }


def tabled(estimate: Estimate) -> dict[str, Any]:
    """What is most uncertain, by the assembly that it belongs to."""
    labels = {share.key: share.label for share in estimate.assemblies}
    shown = estimate.risks[:MOST_RISKS]
    return {"risks": [(risk, labels.get(risk.assembly, "")) for risk in shown]}
