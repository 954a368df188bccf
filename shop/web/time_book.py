"""The time book: all clockings, and their corrections with what was said before."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, time, timedelta
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from orders.models import Commission
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import SheetForm, faults_in
from shop.models import Clocking, Hand
from shop.models.clocking import ClockingQuerySet
from shop.services import clocking as clocks
from shop.services.paid import runs_in, unpaid_in

PER_SHEET = 50
MOMENT = "%Y-%m-%dT%H:%M"


class SeekForm(SheetForm):
    """By hand, by order, by day."""

    hand: Any = forms.ModelChoiceField(None, required=False, empty_label="everybody")
    commission: Any = forms.ModelChoiceField(
        None, required=False, label="Order", empty_label="every order"
    )
    on = forms.DateField(
        required=False, label="Day", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )

    def put_together(self) -> None:
        """Offer only what this workshop has and what was clocked."""
        self.fields["hand"].queryset = self.own(Hand)  # type: ignore[attr-defined]
        clocked = self.own(Commission).filter(operations__clockings__isnull=False)
        self.fields["commission"].queryset = clocked.distinct()  # type: ignore[attr-defined]

    def _focus(self) -> None:
        """The list is the page; the filter does not take the focus."""


class MomentField(forms.DateTimeField):
    """Date and time by the clock of the workshop."""

    default_error_messages: ClassVar = {
        "invalid": "Give a day and a time of it, as 2026-11-30 08:00."
    }

    def __init__(self, **more: Any) -> None:
        widget = forms.DateTimeInput({"type": "datetime-local", "step": 60}, format=MOMENT)
        super().__init__(
            widget=widget, input_formats=[MOMENT, MOMENT + ":%S", "%Y-%m-%d %H:%M"], **more
        )

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare as it is shown, to the minute."""
        shown = f"{timezone.localtime(initial):{MOMENT}}" if initial else ""
        return shown != str(data or "").strip().replace(" ", "T")[:16]


class CorrectionForm(SheetForm):
    """When it was really begun and ended, with how many pieces, and why that is changed."""

    started_at = MomentField(label="Begun")
    ended_at = MomentField(
        label="Ended", required=False, help_text="Leave empty only while it still runs."
    )
    pieces = forms.IntegerField(label="Pieces done", min_value=0, max_value=1_000_000)
    reason = forms.CharField(
        label="Why is it corrected", max_length=200, help_text="Kept beside the old value."
    )

    def kept(self, clocking: Clocking) -> dict[str, Any]:
        """The values; an instant that was not touched keeps the seconds the form cannot show."""
        values = self.values()
        for field in ("started_at", "ended_at"):
            if field not in self.changed_data:
                values[field] = getattr(clocking, field)
        return values


@require_safe
@needs("shop.see_clockings", zone="time-book")
def time_book(request: WorkshopRequest) -> HttpResponse:
    """What was clocked, the newest first."""
    form = SeekForm(request.GET or None, workshop=request.workshop)
    rows = filtered(Clocking.objects.of(request.workshop), form)
    told = rows.select_related("operation__commission", "hand", "station").prefetch_related(
        "corrections"
    )
    sheets = Paginator(told.filter(ended_at__isnull=False), PER_SHEET)
    page = sheets.get_page(request.GET.get("page"))
    unpaid = unpaid_in(runs_in(page))
    return render(
        request,
        "shop/time_book.html",
        {
            "form": form,
            "page": page,
            "rows": [(row, paid_min(row, unpaid)) for row in page],
            "running": told.running(),
            "is_filtered": form.is_bound and any(form.data.get(name) for name in form.fields),
            "now": timezone.now(),
        },
    )


def paid_min(row: Clocking, unpaid: Mapping[int, timedelta]) -> float | None:
    """The minutes that its hand is paid for, where they are not all of them."""
    if row.minutes is None or row.pk not in unpaid:
        return None
    return row.minutes - unpaid[row.pk] / timedelta(minutes=1)


def shown(request: WorkshopRequest, found: Clocking, form: CorrectionForm) -> HttpResponse:
    """One clocking, with a form to correct it."""
    paid = paid_min(found, unpaid_in(runs_in([found])))
    page = {"clocking": found, "form": form, "paid_min": paid}
    return render(request, "shop/clocking.html", page)


def filtered(rows: ClockingQuerySet, form: SeekForm) -> ClockingQuerySet:
    """The clockings that the form asks for."""
    if not form.is_valid():
        return rows
    wanted = form.cleaned_data
    if wanted["hand"]:
        rows = rows.filter(hand=wanted["hand"])
    if wanted["commission"]:
        rows = rows.filter(operation__commission=wanted["commission"])
    if wanted["on"]:
        start = timezone.make_aware(datetime.combine(wanted["on"], time()))
        rows = rows.filter(started_at__gte=start, started_at__lt=start + timedelta(days=1))
    return rows


@require_safe
@needs("shop.see_clockings", zone="time-book")
def clocking(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One clocking with its history."""
    found = clocking_of(request, pk)
    return shown(request, found, CorrectionForm(workshop=request.workshop, row=found))


@require_POST
@needs("shop.correct_clockings", zone="time-book")
def correct_clocking(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Correct a clocking; what it said before is kept."""
    found = clocking_of(request, pk)
    form = CorrectionForm(request.POST, workshop=request.workshop, row=found)
    if form.is_valid():
        with faults_in(form):
            clocks.correct(
                found,
                by=request.user,
                at=timezone.now(),
                version=form.version,
                **form.kept(found),
            )
            messages.success(request, "The clocking is corrected; the old value stands below.")
            return redirect("clocking", pk=found.pk)
    return shown(request, found, form)


def clocking_of(request: WorkshopRequest, pk: int) -> Clocking:
    """The clocking, if this workshop has it."""
    rows = Clocking.objects.of(request.workshop).select_related(
        "operation__commission", "operation__assembly", "hand", "station"
    )
    found: Clocking = get_object_or_404(rows.prefetch_related("corrections__by"), pk=pk)
    return found
