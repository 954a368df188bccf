"""Moving an operation on the chart: what is wished, what would come of it, and keeping it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from orders.models import Operation
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import SheetForm, faults_in
from shop.models import Booking, Hand, Pin, Plan, Station
from shop.services import moving, pins
from shop.services.pins import Wish

from .time_book import MomentField


class WishForm(SheetForm):
    """A station, a hand, a time; what is left empty is for the plan to choose."""

    station: Any = forms.ModelChoiceField(None, required=False, empty_label="wherever it suits")
    hand: Any = forms.ModelChoiceField(None, required=False, empty_label="whoever suits")
    starts_at = MomentField(required=False, label="Begins", help_text="Leave empty for any time.")

    def __init__(self, data: Any = None, *, operation: Operation, **more: Any) -> None:
        self.operation = operation
        super().__init__(data, **more)

    def put_together(self) -> None:
        """Offer the stations and the hands that can do it."""
        kind = self.operation.station_kind
        stations = self.own(Station).filter(is_in_use=True, kind=kind)
        hands = self.own(Hand).filter(is_in_use=True, skills__skill=self.operation.skill)
        self.fields["station"].queryset = stations  # type: ignore[attr-defined]
        self.fields["hand"].queryset = hands  # type: ignore[attr-defined]

    @property
    def wish(self) -> Wish:
        """What was asked for."""
        return Wish(**{name: self.cleaned_data[name] for name in ("station", "hand", "starts_at")})


@require_safe
@needs("shop.make_schedule", zone="wall-chart")
def pin_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """An operation's place and its pin; with a wish in the address, what would come of it."""
    operation = operation_of(request, pk)
    pin = Pin.objects.filter(operation=operation).first()
    start = {"station": pin.station, "hand": pin.hand, "starts_at": pin.starts_at} if pin else {}
    is_asked = any(name in request.GET for name in WishForm.base_fields)
    form = WishForm(
        request.GET if is_asked else None,
        operation=operation,
        workshop=request.workshop,
        initial=start,
    )
    page = {"operation": operation, "pin": pin, "form": form, "booking": booking_of(operation)}
    if is_asked and form.is_valid():
        with faults_in(form):
            page["found"] = pins.consequence(operation, form.wish, now=timezone.now())
    template = "consequence" if request.GET.get("as") == "part" else "pin"
    return render(request, f"shop/{template}.html", page)


@require_POST
@needs("shop.make_schedule", zone="wall-chart")
def keep_pin(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Keep a wish, and fit the plan to it."""
    operation = operation_of(request, pk)
    form = WishForm(request.POST, operation=operation, workshop=request.workshop)
    if form.is_valid():
        with faults_in(form):
            fitted = moving.move(operation, form.wish, by=request.user, now=timezone.now())
            say(request, fitted, f"“{operation.name}” is pinned; the plan goes round it.")
            return back(request, operation)
    pin = Pin.objects.filter(operation=operation).first()
    page = {"operation": operation, "pin": pin, "form": form, "booking": booking_of(operation)}
    return render(request, "shop/pin.html", page)


@require_POST
@needs("shop.make_schedule", zone="wall-chart")
def take_out_pin(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Take a pin out, which undoes it."""
    operation = operation_of(request, pk)
    fitted = moving.give_back(operation, by=request.user, now=timezone.now())
    say(request, fitted, f"“{operation.name}” goes where it suits the plan.")
    return redirect("pin", pk=operation.pk)


def say(request: WorkshopRequest, fitted: moving.Fitted, sentence: str) -> None:
    """What was done, and why there is no plan with it where that is so."""
    if fitted.fault:
        messages.error(request, fitted.fault)
    messages.success(request, sentence)


def back(request: WorkshopRequest, operation: Operation) -> HttpResponse:
    """To the chart it was moved on, else to the operation."""
    chart = request.POST.get("next", "")
    if url_has_allowed_host_and_scheme(chart, allowed_hosts={request.get_host()}):
        return redirect(chart)
    return redirect("pin", pk=operation.pk)


def operation_of(request: WorkshopRequest, pk: int) -> Operation:
    """An operation of the workshop."""
    rows = Operation.objects.of(request.workshop)
    found: Operation = get_object_or_404(
        rows.select_related("commission__workshop", "assembly"), pk=pk
    )
    return found


def booking_of(operation: Operation) -> Booking | None:
    """Its place in the newest plan: the proposal, else the plan in force."""
    states = [Plan.State.PROPOSED, Plan.State.ADOPTED]
    found: Booking | None = (
        Booking.objects.filter(operation=operation, plan__state__in=states)
        .select_related("plan", "station", "hand")
        .order_by("-plan__number")
        .first()
    )
    return found
