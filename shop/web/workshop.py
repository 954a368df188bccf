"""The workshop: its stations and hands, their hours, and when they are closed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orders.core.errors import RuleBroken, WorkshopError
from orders.models.owned import Versioned
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import SheetForm, faults_in, posted
from shop.models import WEEKDAYS, Closure, Hand, Station, WorkingCalendar
from shop.services import calendars, stations

from .workshop_forms import ClosureForm, HandForm, StationForm, WeekForm

ZONE = "workshop"
NEEDED = "shop.edit_stations"
FORM = ["GET", "HEAD", "POST"]


@require_safe
@needs(NEEDED, zone=ZONE)
def workshop(request: WorkshopRequest) -> HttpResponse:
    """What the shop can work with, at a glance."""
    shop = request.workshop
    return render(
        request,
        "shop/workshop.html",
        {
            "stations": Station.objects.of(shop).select_related("calendar"),
            "hands": Hand.objects.of(shop)
            .select_related("calendar", "membership__user")
            .prefetch_related("skills"),
            "weeks": [(week, drawn_week(week)) for week in weeks_of(request)],
            "closures": Closure.objects.of(shop)
            .filter(ends_at__gt=timezone.now())
            .select_related("station", "hand")
            .order_by("starts_at"),
        },
    )


def weeks_of(request: WorkshopRequest) -> Any:
    """The calendars with their hours."""
    return WorkingCalendar.objects.of(request.workshop).prefetch_related("openings")


def drawn_week(week: WorkingCalendar) -> dict[str, Any]:
    """Open hours of each day on a line from 0 to 24, and their sum."""
    days = []
    total = 0.0
    for number, name in WEEKDAYS:
        spans = [
            (hour_of(opening.starts), hour_of(opening.ends))
            for opening in week.openings.all()
            if opening.weekday == number and not opening.is_overtime
        ]
        total += sum(end - start for start, end in spans)
        days.append({"name": name[:2], "y": 10 + 12 * number, "spans": spans})
    return {"days": days, "hours": total}


def hour_of(at: Any) -> float:
    """A time of the day as hours from midnight, ten units each."""
    return float(at.hour + at.minute / 60)


@require_http_methods(FORM)
@needs(NEEDED, zone=ZONE)
def station_add(request: WorkshopRequest) -> HttpResponse:
    """A new station."""
    form = StationForm(posted(request), workshop=request.workshop)
    return kept(
        request, form, lambda: stations.add_station(request.workshop, **form.values()), "station"
    )


@require_http_methods(FORM)
@needs(NEEDED, zone=ZONE)
def station_change(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Change a station, or take it out of use."""
    row = get_object_or_404(Station.objects.of(request.workshop), pk=pk)
    form = StationForm(posted(request), workshop=request.workshop, row=row)
    return kept(
        request,
        form,
        lambda: stations.change_station(row, version=form.version, **form.values()),
        "station",
    )


@require_http_methods(FORM)
@needs(NEEDED, zone=ZONE)
def hand_add(request: WorkshopRequest) -> HttpResponse:
    """A new hand."""
    form = HandForm(posted(request), workshop=request.workshop)
    return kept(request, form, lambda: stations.add_hand(request.workshop, **form.values()), "hand")


@require_http_methods(FORM)
@needs(NEEDED, zone=ZONE)
def hand_change(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Change a hand, or say that they no longer work here."""
    hands = Hand.objects.of(request.workshop).prefetch_related("skills")
    row = get_object_or_404(hands, pk=pk)
    form = HandForm(posted(request), workshop=request.workshop, row=row)
    return kept(
        request,
        form,
        lambda: stations.change_hand(row, version=form.version, **form.values()),
        "hand",
    )


@require_http_methods(FORM)
@needs(NEEDED, zone=ZONE)
def calendar_add(request: WorkshopRequest) -> HttpResponse:
    """A new week of hours."""
    form = WeekForm(posted(request), workshop=request.workshop)
    return kept(
        request,
        form,
        beside_its_day(form, lambda: calendars.add_calendar(request.workshop, **form.values())),
        "calendar",
    )


@require_http_methods(FORM)
@needs(NEEDED, zone=ZONE)
def calendar_change(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Change a week of hours."""
    row = get_object_or_404(weeks_of(request), pk=pk)
    form = WeekForm(posted(request), workshop=request.workshop, row=row)
    return kept(
        request,
        form,
        beside_its_day(
            form, lambda: calendars.change_calendar(row, version=form.version, **form.values())
        ),
        "calendar",
    )


@require_POST
@needs(NEEDED, zone=ZONE)
def calendar_remove(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Take a week away that nobody follows."""
    row = get_object_or_404(weeks_of(request), pk=pk)
    try:
        calendars.remove_calendar(row)
    except WorkshopError as error:
        messages.error(request, error.message)
    else:
        messages.success(request, f"“{row}” is removed.")
    return redirect("workshop")


@require_http_methods(FORM)
@needs(NEEDED, zone=ZONE)
def closure_add(request: WorkshopRequest) -> HttpResponse:
    """Close the shop, a station or a hand."""
    form = ClosureForm(posted(request), workshop=request.workshop)
    return kept(
        request, form, lambda: calendars.close(request.workshop, **form.values()), "closure"
    )


@require_http_methods(FORM)
@needs(NEEDED, zone=ZONE)
def closure_change(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Move a closure, or end it sooner."""
    row = closure_of(request, pk)
    form = ClosureForm(posted(request), workshop=request.workshop, row=row)
    return kept(
        request,
        form,
        lambda: calendars.change_closure(row, version=form.version, **form.values()),
        "closure",
    )


@require_POST
@needs(NEEDED, zone=ZONE)
def closure_remove(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Open again what was closed."""
    row = closure_of(request, pk)
    calendars.reopen(row)
    messages.success(request, f"{row.station or row.hand or 'The shop'} is open again.")
    return redirect("workshop")


def closure_of(request: WorkshopRequest, pk: int) -> Closure:
    """The closure, if this workshop has it."""
    rows = Closure.objects.of(request.workshop).select_related("station", "hand", "workshop")
    found: Closure = get_object_or_404(rows, pk=pk)
    return found


def beside_its_day(form: WeekForm, keep: Callable[[], Versioned]) -> Callable[[], Versioned]:
    """Faults of one stretch of hours stand beside the day it lies on."""

    def keep_week() -> Versioned:
        try:
            return keep()
        except RuleBroken as error:
            raise form.renamed(error) from error

    return keep_week


def kept(
    request: WorkshopRequest, form: SheetForm, keep: Callable[[], Versioned], what: str
) -> HttpResponse:
    """Keep what the form says and go back to the workshop, or show the form with its faults."""
    if form.is_valid():
        with faults_in(form):
            row = keep()
            messages.success(request, f"“{row}” is kept.")
            return redirect("workshop")
    return render(request, f"shop/{what}_form.html", {"form": form, "row": form.row})
