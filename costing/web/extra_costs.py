"""Finish, outwork, delivery and sundries of a commission: added, changed and taken away."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from costing.models import ExtraCost
from costing.models.extra_cost import extra_choices
from costing.services import extra_costs
from orders.models import Assembly, Commission
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import SheetForm, faults_in, posted
from orders.web.found import attempted, commission_of, refused

ZONE = "commissions"
MAY_PRICE = "costing.issue_quotes"


class ExtraCostForm(SheetForm):
    """One line."""

    kind = forms.ChoiceField(label="It is for", choices=extra_choices)
    label = forms.CharField(label="What", max_length=120)
    assembly = forms.ModelChoiceField(
        label="For each",
        queryset=Assembly.objects.none(),
        required=False,
        empty_label="the whole commission",
    )
    quantity = forms.DecimalField(min_value=0, max_digits=12, decimal_places=4, initial=1)
    unit = forms.CharField(max_length=12, required=False)
    unit_price = forms.DecimalField(
        label="Price of a unit",
        max_digits=12,
        decimal_places=4,
        help_text="Below zero it is a credit.",
    )
    spread = forms.FloatField(
        label="How unsure the price is",
        min_value=0,
        max_value=3,
        initial=0,
        help_text="0 for a fixed price, 0.2 for about a fifth either way.",
    )

    def __init__(self, *args: Any, commission: Commission, **more: Any) -> None:
        self.commission = commission
        super().__init__(*args, **more)

    def put_together(self) -> None:
        """The assemblies of the commission."""
        field: Any = self.fields["assembly"]
        field.queryset = self.commission.assemblies.order_by("position", "pk")
        field.label_from_instance = lambda assembly: assembly.name


@require_http_methods(["GET", "HEAD", "POST"])
@needs(MAY_PRICE, zone=ZONE)
def extra_cost_add(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Add a line."""
    commission = commission_of(request, pk)
    if way_back := refused(request, commission):
        return way_back
    form = ExtraCostForm(posted(request), workshop=request.workshop, commission=commission)
    if form.is_valid():
        with faults_in(form):
            row = extra_costs.add_extra_cost(commission, **form.values())
            messages.success(request, f"{row.label} is in the estimate.")
            return redirect("estimate", pk=commission.pk)
    shown = {"form": form, "commission": commission}
    return render(request, "costing/extra_cost.html", shown)


@require_http_methods(["GET", "HEAD", "POST"])
@needs(MAY_PRICE, zone=ZONE)
def extra_cost_change(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Change a line."""
    row = extra_cost_of(request, pk)
    if way_back := refused(request, row.commission):
        return way_back
    form = ExtraCostForm(
        posted(request), workshop=request.workshop, commission=row.commission, row=row
    )
    if form.is_valid():
        with faults_in(form):
            row = extra_costs.change_extra_cost(row, version=form.version, **form.values())
            messages.success(request, f"{row.label} is changed.")
            return redirect("estimate", pk=row.commission_id)
    shown = {"form": form, "commission": row.commission, "row": row}
    return render(request, "costing/extra_cost.html", shown)


@require_POST
@needs(MAY_PRICE, zone=ZONE)
def extra_cost_remove(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Take a line away."""
    row = extra_cost_of(request, pk)
    if attempted(request, extra_costs.remove_extra_cost, row):
        messages.success(request, f"{row.label} is no longer in the estimate.")
    return redirect("estimate", pk=row.commission_id)


def extra_cost_of(request: WorkshopRequest, pk: int) -> ExtraCost:
    """A line of this workshop."""
    rows = ExtraCost.objects.of(request.workshop).select_related("commission__workshop")
    found: ExtraCost = get_object_or_404(rows, pk=pk)
    return found
