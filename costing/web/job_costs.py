"""What an order costs against what was quoted, what is left of it, and charging it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from costing.core.jobcost import CHARGED
from costing.models import Charge
from costing.services import charging
from costing.services.job_costs import Part, job_cost
from costing.services.remaining import remaining
from orders.core.errors import NotReady, RuleBroken
from orders.models import Commission
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import SheetForm, faults_in, posted
from orders.web.found import commission_of

ZONE = "commissions"
MAY = "costing.see_job_costs"


class ChargeForm(SheetForm):
    """Something issued from the rack, or bought for the order."""

    takes_focus = False
    stock = forms.ChoiceField(required=False, label="From the rack")
    kind = forms.ChoiceField(
        required=False, choices=[("", ""), *((kind.value, kind.value) for kind in CHARGED)]
    )
    label = forms.CharField(required=False, max_length=120, label="or: what")
    quantity = forms.DecimalField(
        label="Quantity", max_digits=12, decimal_places=4, help_text="Below 0: it came back."
    )
    unit = forms.CharField(required=False, max_length=12)
    unit_price = forms.DecimalField(
        required=False,
        label="Price of a unit",
        max_digits=12,
        decimal_places=4,
        help_text="Empty: the rack's.",
    )
    assembly = forms.ChoiceField(required=False, label="For")
    on = forms.DateField(label="On", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"))

    def __init__(self, *args: Any, commission: Commission, **more: Any) -> None:
        self.commission = commission
        super().__init__(*args, workshop=commission.workshop, **more)

    def put_together(self) -> None:
        """Offer what is in the rack, and the order's assemblies."""
        stock: Any = self.fields["stock"]
        stock.choices = [
            ("", "something else"),
            *(
                (one.key, f"{one.label}, {one.unit}")
                for one in charging.stock_of(self.commission.workshop)
            ),
        ]
        assembly: Any = self.fields["assembly"]
        self.assemblies = {str(one.pk): one for one in self.commission.assemblies.all()}
        names = [(key, one.name) for key, one in self.assemblies.items()]
        assembly.choices = [("", "the whole order"), *names]

    def charge(self) -> dict[str, Any]:
        """What the service takes."""
        typed = self.values()
        return {**typed, "assembly": self.assemblies.get(typed["assembly"])}


@require_http_methods(["GET", "HEAD", "POST"])
@needs(MAY, zone=ZONE)
def job_cost_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Kind by kind and assembly by assembly; a charge is booked here."""
    commission = commission_of(request, pk)
    form = ChargeForm(posted(request), commission=commission, initial={"on": timezone.localdate()})
    if form.is_valid():
        with faults_in(form):
            row = charging.charge(commission, by=request.user, **form.charge())
            messages.success(request, f"Charged: {row}.")
            return redirect("job-cost", commission.pk)
    return render(
        request,
        "costing/job_cost.html",
        {"commission": commission, "form": form, **figures_of(request, commission)},
    )


def figures_of(request: WorkshopRequest, commission: Commission) -> dict[str, Any]:
    """The cost and what is left; a sentence instead where rates are missing."""
    charges = Charge.objects.filter(commission=commission).select_related(
        "assembly", "taken_back_by"
    )
    page: dict[str, Any] = {"charges": charges, "today": timezone.localdate()}
    try:
        cost = job_cost(commission)
        left = remaining(request.workshop, [cost])[0]
    except NotReady as error:
        return page | {"missing": error.message}
    names = dict(commission.assemblies.values_list("pk", "name"))
    return page | {
        "cost": cost,
        "left": left,
        "parts": [(name_of(one, names), one) for one in cost.parts],
    }


def name_of(part: Part, names: dict[int, str]) -> str:
    """The assembly's name."""
    return "Whole order" if part.assembly is None else names.get(part.assembly, "")


@require_POST
@needs(MAY, zone=ZONE)
def charge_back(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Take a charge back by its opposite."""
    row = get_object_or_404(Charge.objects.of(request.workshop), pk=pk)
    try:
        charging.take_back(row, by=request.user, on=timezone.localdate())
    except RuleBroken as error:
        messages.error(request, error.message)
    else:
        messages.success(request, "It is taken back; both stay to be seen.")
    return redirect("job-cost", row.commission_id)
