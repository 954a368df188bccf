"""Day sheets: everybody's day at a glance, and one hand's day in working order."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from orders.core.figures import cautions
from orders.web.access import WorkshopRequest, needs
from shop.models import Hand, Plan
from shop.services.chart import chart
from shop.services.days import day_sheet

from .wall_chart import read_day


@require_safe
@needs("shop.see_schedule", zone="day-sheets")
def day_sheets(request: WorkshopRequest) -> HttpResponse:
    """Everybody's work of one day."""
    plan = Plan.objects.in_force().of(request.workshop).select_related("workshop").first()
    page = days(request) | {"plan": plan}
    if plan:
        page["rows"] = chart(plan, page["on"], 1, "hand").rows
    return render(request, "shop/day_sheets.html", page)


@require_safe
@needs("shop.see_own_day", zone="day-sheets")
def hand_day(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One hand's day; a hand sees only their own."""
    hands = Hand.objects.of(request.workshop).select_related("workshop")
    hand = get_object_or_404(hands, pk=pk)
    if hand.membership_id != request.membership.pk and not request.user.has_perm(
        "shop.see_schedule"
    ):
        raise PermissionDenied
    page = days(request)
    sheet = day_sheet(hand, page["on"])
    warnings = dict.fromkeys(item.caution for item in sheet.items if item.caution)
    page |= {
        "hand": hand,
        "sheet": sheet,
        "cautions": [cautions()[code] for code in warnings if code in cautions()],
    }
    return render(request, "shop/hand_day.html", page)


def days(request: WorkshopRequest) -> dict[str, Any]:
    """The day asked for and its neighbours."""
    today = timezone.localdate()
    on: date = read_day(request.GET.get("on", "")) or today
    return {
        "on": on,
        "today": today,
        "before": on - timedelta(days=1),
        "after": on + timedelta(days=1),
    }
