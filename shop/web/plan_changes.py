"""What was changed in the plan, taking the last change back, and making it again."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from orders.core.errors import WorkshopError
from orders.web.access import WorkshopRequest, needs
from shop.models import PlanChange
from shop.services import moving, plan_changes

from .pins import say


@require_safe
@needs("shop.make_schedule", zone="wall-chart")
def change_list(request: WorkshopRequest) -> HttpResponse:
    """The latest changes, with those that were taken back."""
    last, again = plan_changes.at_hand(request.workshop)
    page = {
        "changes": plan_changes.history(request.workshop),
        "last": last,
        "again": again,
        "now": timezone.now(),
    }
    return render(request, "shop/plan_changes.html", page)


@require_POST
@needs("shop.make_schedule", zone="wall-chart")
def undo_change(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Take the last change back."""
    change = get_object_or_404(PlanChange.objects.of(request.workshop), pk=pk)
    try:
        plan_changes.undo(change, by=request.user, at=timezone.now())
    except WorkshopError as error:
        messages.error(request, error.message)
    else:
        again = f" Plan {change.number_before} is in force again." if change.moves_the_plan else ""
        messages.success(request, f"Taken back: {change.said}.{again}")
    return _back(request)


@require_POST
@needs("shop.make_schedule", zone="wall-chart")
def redo_change(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Make the change again that was taken back last."""
    change = get_object_or_404(PlanChange.objects.of(request.workshop), pk=pk)
    try:
        fitted = moving.make_again(change, by=request.user, now=timezone.now())
    except WorkshopError as error:
        messages.error(request, error.message)
    else:
        again = f" Plan {change.number_after} is in force again." if change.moves_the_plan else ""
        say(request, fitted, f"Made again: {change.said}.{again}")
    return _back(request)


def _back(request: WorkshopRequest) -> HttpResponse:
    return redirect("wall-chart" if request.POST.get("from") == "chart" else "plan-changes")
