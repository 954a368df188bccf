"""The estimate of a commission: a price that unfolds, how sure it is, and how it is set."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from costing.core.estimate import Estimate
from costing.core.lines import Line
from costing.core.pricing import PriceBasis, Pricing
from costing.models import ExtraCost
from costing.services.estimating import Basis, basis_for, priced, priced_ways
from costing.services.foretelling import foretold_hours
from costing.services.lead_times import queue_of
from costing.services.price_setting import STILL_PRICED, require_sound, set_price
from costing.web.price_form import FIELDS_OF_FAULTS, PriceForm, start_from
from costing.web.spread import spread_of
from costing.web.unfold import Deeper, path_to, unfolding
from orders.core.errors import WorkshopError
from orders.models import Commission
from orders.web.access import WorkshopRequest, needs
from orders.web.formats import STUCK, figure, whole_money
from orders.web.forms import faults_in
from orders.web.found import commission_of
from shop.services.promising import earliest_honest_date

ZONE = "commissions"
PAGE_PX = 640.0
PANEL_PX, PANEL_LEVELS = 312.0, 2
MOST_RISKS = 6


@require_safe
@needs("costing.see_estimates", zone=ZONE)
def estimate_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """What the commission would cost today, and be offered for."""
    return estimate_sheet(request, commission_of(request, pk))


@require_POST
@needs("costing.issue_quotes", zone=ZONE)
def price_keep(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Keep how the price is set, or only show what it would be."""
    commission = commission_of(request, pk)
    form = PriceForm(request.POST, workshop=request.workshop)
    if not form.is_valid():
        return estimate_sheet(request, commission, form)
    with faults_in(form, FIELDS_OF_FAULTS):
        pricing = form.pricing()
        if "show" in request.POST:
            require_sound(pricing, request.workshop.currency)
            return estimate_sheet(request, commission, form, pricing)
        set_price(commission, pricing)
        messages.success(request, "The price is set; the next quote is drafted at it.")
        return redirect("estimate", pk=commission.pk)
    return estimate_sheet(request, commission, form)


@require_safe
@needs("costing.see_estimates", zone=ZONE)
def estimate_lines(request: WorkshopRequest, pk: int) -> HttpResponse:
    """What one line adds up from, a level at a time."""
    commission = commission_of(request, pk)
    try:
        estimate = priced(basis_for(commission, timezone.localdate()))
    except WorkshopError as fault:
        raise Http404(fault.message) from fault
    path = path_to(estimate.lines, request.GET.get("key", ""))
    if not path:
        raise Http404("This line is no longer in the estimate.")
    deeper = deeper_in(commission)
    return HttpResponse(unfolding(path[-1].children, estimate.currency, depth=1, deeper=deeper))


@require_safe
@needs("costing.see_estimates", zone=ZONE)
def estimate_panel(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The same in short, for the margin of the commission."""
    commission = commission_of(request, pk)
    shown: dict[str, Any] = {"commission": commission}
    found = Priced.of(commission)
    if isinstance(found, Priced):
        lines = unfolding(found.estimate.lines, found.estimate.currency, depth=PANEL_LEVELS)
        shown |= {"estimate": found.estimate, "lines": lines, **found.drawn(PANEL_PX)}
    else:
        shown |= found
    return render(request, "costing/estimate_panel.html", shown)


@require_safe
@needs("costing.see_estimates", zone=ZONE)
def estimate_date(request: WorkshopRequest, pk: int) -> HttpResponse:
    """When the plan has room for the commission; as a page, or in short for another page."""
    commission = commission_of(request, pk)
    shown: dict[str, Any] = {"commission": commission}
    try:
        shown["found"] = earliest_honest_date(commission, now=timezone.now())
    except WorkshopError as fault:
        shown["fault"] = fault.message
    name = "estimate_date_panel" if "panel" in request.GET else "estimate_date"
    return render(request, f"costing/{name}.html", shown)


def estimate_sheet(
    request: WorkshopRequest,
    commission: Commission,
    form: PriceForm | None = None,
    pricing: Pricing | None = None,
) -> HttpResponse:
    """The page; `pricing` is a price that is only tried."""
    shown: dict[str, Any] = {"commission": commission, "today": timezone.localdate()}
    found = Priced.of(commission, pricing)
    if not isinstance(found, Priced):
        return render(request, "costing/estimate.html", {**shown, **found})
    estimate = found.estimate
    opened = path_to(estimate.lines, request.GET.get("open", ""))
    start = start_from(found.basis.pricing)
    return render(
        request,
        "costing/estimate.html",
        {
            **shown,
            "estimate": estimate,
            "basis": found.basis,
            "foretold": foretold_hours(commission),
            "glue": found.basis.glue_statement,
            "form": form or PriceForm(initial=start, workshop=request.workshop),
            "may_set": request.user.has_perm("costing.issue_quotes")
            and commission.stage in STILL_PRICED,
            "is_tried": pricing is not None and pricing != found.basis.pricing,
            "ways": found.ways(),
            "costs": ExtraCost.objects.filter(commission=commission).select_related("assembly"),
            "promises": promises(commission, estimate),
            "lines": unfolding(
                estimate.lines,
                estimate.currency,
                depth=1,
                opened=opened,
                deeper=deeper_in(commission),
            ),
            **found.drawn(PAGE_PX),
            **tabled(estimate),
        },
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """A commission that can be priced: its basis, its estimate, and that of other ways."""

    basis: Basis
    estimate: Estimate
    expected: Estimate
    careful: Estimate

    @classmethod
    def of(cls, commission: Commission, pricing: Pricing | None = None) -> Priced | dict[str, Any]:
        """The estimate at a price; else what a page says: what is missing, or that it is empty."""
        try:
            basis = basis_for(commission, timezone.localdate())
            taken = pricing or basis.pricing
            profit = None if taken.basis is PriceBasis.HAND else taken.profit
            estimate, expected, careful = priced_ways(
                basis, (taken, Pricing(profit=profit), Pricing(basis=PriceBasis.P80, profit=profit))
            )
        except WorkshopError as fault:
            return {"fault": fault.message}
        if not estimate.cost:
            return {"is_empty": True}
        return cls(basis=basis, estimate=estimate, expected=expected, careful=careful)

    def ways(self) -> list[tuple[str, Estimate, bool]]:
        """Each way of setting the price with what it comes to, and whether it is the one taken."""
        taken = self.estimate.pricing.basis
        rows = [
            ("Expected cost and profit", self.expected, taken is PriceBasis.EXPECTED),
            ("P80 of cost and profit", self.careful, taken is PriceBasis.P80),
        ]
        if taken is PriceBasis.HAND:
            rows.append(("Set by hand", self.estimate, True))
        return rows

    def drawn(self, width: float) -> dict[str, Any]:
        """How sure the cost and the hours are, as drawings."""
        estimate = self.estimate
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


def deeper_in(commission: Commission) -> Deeper:
    """Where the lines of an estimate go on."""
    fragment = reverse("estimate-lines", args=[commission.pk])
    page = reverse("estimate", args=[commission.pk])

    def within(line: Line) -> str:
        return f"{fragment}?{urlencode({'key': line.key})}"

    def opened(line: Line) -> str:
        return f"{page}?{urlencode({'open': line.key})}#makeup"

    return Deeper(fragment=within, page=opened)


def promises(commission: Commission, estimate: Estimate) -> Mapping[str, Any]:
    """When the work could be done if it were ordered today; nothing once it was answered."""
    if commission.stage not in STILL_PRICED:
        return {}
    queue = queue_of(commission.workshop, timezone.now(), but=commission)
    return {"before_h": queue.before_min / 60, "times": queue.promises(estimate)}


def tabled(estimate: Estimate) -> dict[str, Any]:
    """What is most uncertain, by the assembly that it belongs to."""
    labels = {share.key: share.label for share in estimate.assemblies}
    shown = estimate.risks[:MOST_RISKS]
    return {"risks": [(risk, labels.get(risk.assembly, "")) for risk in shown]}
