"""The owner's Monday page, work in progress at a date, and what should be charged for."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from costing.services.charging_for import charging_for
from costing.services.hourly import rates_on
from costing.services.order_books import in_progress, order_books, value_of
from costing.web.job_costs import MAY
from costing.web.labour_ask import ZONE, PeriodForm
from orders.core.errors import NotReady
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import SheetForm

MOST_RANKED = 40


class DayForm(SheetForm):
    """A day."""

    takes_focus = False
    on = forms.DateField(
        required=False,
        label="Work in progress on",
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
    )

    def day(self, today: date) -> date:
        """The day asked for, today unless told; no day to come."""
        on: date | None = self.cleaned_data.get("on") if self.is_valid() else None
        return min(on or today, today)


@require_safe
@needs(MAY, zone=ZONE)
def books_page(request: WorkshopRequest) -> HttpResponse:
    """Everything the owner asks on a Monday."""
    today = timezone.localdate()
    form = DayForm(request.GET or None, workshop=request.workshop, initial={"on": today})
    on = form.day(today) if form.is_bound else today
    page: dict[str, Any] = {"form": form, "today": today, "on": on}
    try:
        page |= {"books": order_books(request.workshop, today), "wip": wip_of(request, on)}
    except NotReady as error:
        page["missing"] = error.message
    return render(request, "costing/order_books.html", page)


def wip_of(request: WorkshopRequest, on: date) -> dict[str, Any]:
    """Work in progress on a day, order by order."""
    found = in_progress(request.workshop, on)
    return {"value": found.value, "rows": [(one, value_of(one)) for one in found.costs]}


@require_safe
@needs(MAY, zone=ZONE)
def charging_page(request: WorkshopRequest) -> HttpResponse:
    """Where joints lose money, and the price that the next one needs."""
    form = PeriodForm(request.GET or None, workshop=request.workshop)
    today = timezone.localdate()
    rates = rates_on(request.workshop, today)
    asked = form.asked() if form.is_bound else None
    works = charging_for(request.workshop, rates, asked) if rates else []
    return render(
        request,
        "costing/charging_for.html",
        {
            "form": form,
            "rates": rates,
            "works": works,
            "lost": sum(one.lost for one in works),
            "is_filtered": form.is_bound and form.has_changed(),
            "today": today,
        },
    )
