"""Day sheets: everybody's day at a glance, and one hand's day in working order."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from orders.core.figures import cautions
from orders.web.access import WorkshopRequest, needs
from shop.models import DayIssue, Hand, Plan, Workshop
from shop.services import day_issues
from shop.services.chart import ChartRow, WallChart, chart
from shop.services.days import day_sheet, next_day_of_work

from .wall_chart import read_day


@require_safe
@needs("shop.see_schedule", zone="day-sheets")
def day_sheets(request: WorkshopRequest) -> HttpResponse:
    """Everybody's work of one day."""
    plan = Plan.objects.in_force().of(request.workshop).select_related("workshop").first()
    usual = next_day_of_work(plan, timezone.now()) if plan else timezone.localdate()
    page = days(request, usual) | {"plan": plan}
    if plan:
        found = chart(plan, page["on"], 1, "hand")
        issues = issues_of(request.workshop, page["on"], found)
        page["rows"] = [(row, *issues.get(row.pk, (None, []))) for row in of_the_day(found)]
        page["is_issued"] = bool(issues)
    return render(request, "shop/day_sheets.html", page)


@require_POST
@needs("shop.make_schedule", zone="day-sheets")
def days_issue(request: WorkshopRequest) -> HttpResponse:
    """Issue the sheets of a day; those that changed get the next number."""
    on = read_day(request.POST.get("on", "")) or timezone.localdate()
    issued = day_issues.issue_days(request.workshop, on, by=request.user, at=timezone.now())
    if issued:
        said = ", ".join(f"{issue.hand} no. {issue.number}" for issue in issued)
        is_again = any(issue.number > 1 for issue in issued)
        then = "Print them, and collect the old ones." if is_again else "Print them."
        messages.success(request, f"Issued: {said}. {then}")
    else:
        messages.success(request, "Every sheet still says what was issued; nothing to print.")
    return redirect(f"{reverse('day-sheets')}?on={on:%Y-%m-%d}")


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
    page = days(request, timezone.localdate())
    sheet = day_sheet(hand, page["on"])
    warnings = dict.fromkeys(item.caution for item in sheet.items if item.caution)
    page |= {
        "hand": hand,
        "sheet": sheet,
        "cautions": [cautions()[code] for code in warnings if code in cautions()],
    }
    return render(request, "shop/hand_day.html", page)


def of_the_day(found: WallChart) -> list[ChartRow]:
    """The rows of a day without what only begins before it and ends after it."""
    return [
        replace(
            row,
            bars=tuple(
                bar for bar in row.bars if day_issues.within(bar.stretches, found.start, found.end)
            ),
        )
        for row in found.rows
    ]


def days(request: WorkshopRequest, usual: date) -> dict[str, Any]:
    """The day asked for, else the usual one, and its neighbours."""
    on: date = read_day(request.GET.get("on", "")) or usual
    return {
        "on": on,
        "today": timezone.localdate(),
        "before": on - timedelta(days=1),
        "after": on + timedelta(days=1),
    }


def issues_of(
    workshop: Workshop, on: date, found: WallChart
) -> dict[int, tuple[DayIssue, list[str]]]:
    """What was issued to each hand for a day, and what has changed since, by hand."""
    zone = ZoneInfo(workshop.time_zone)
    now = day_issues.told_in(found)
    return {
        pk: (issue, day_issues.changes_since(issue, now.get(pk, []), zone))
        for pk, issue in day_issues.last_issues(workshop, on).items()
    }
