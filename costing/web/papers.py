"""The papers of the bench as PDF: job sheets, cutting list, day sheets, wall chart. No money."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from costing.documents.cutting_list import cutting_list_pdf
from costing.documents.day_sheet import day_sheets_pdf
from costing.documents.job_sheet import job_sheets_pdf
from costing.documents.wall_chart import wall_chart_pdf
from costing.services.job_sheets import job_sheets
from costing.services.papers import shop_of
from costing.services.sawing import cutting_list
from costing.services.wall import wall
from orders.core.errors import WorkshopError
from orders.models import Commission
from orders.web.access import WorkshopRequest, needs
from orders.web.found import assembly_of, commission_of
from shop.models import Hand
from shop.services.days import DaySheet, day_sheet
from shop.web.wall_chart import read_day, shown_plan

NO_HAND = "There is no hand to print a day sheet for; add one, or take one into use."
NO_PLAN = "There is no plan to print yet; plan first."
DAYS_SHOWN = 7


@require_safe
@needs("orders.print_papers", zone="commissions")
def job_sheets_of_commission(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The job sheets of every assembly of a commission, one after another."""
    commission = commission_of(request, pk)
    return of_job(request, commission, None, f"{commission.mark}-job-sheets")


@require_safe
@needs("orders.print_papers", zone="commissions")
def job_sheet_of_assembly(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The job sheet of one assembly."""
    assembly = assembly_of(request, pk)
    name = f"{assembly.commission.mark}-{slugify(assembly.name)[:40]}-job-sheet"
    return of_job(request, assembly.commission, assembly.pk, name)


@require_safe
@needs("orders.print_papers", zone="commissions")
def cutting_list_of_commission(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The cutting list of a commission."""
    commission = commission_of(request, pk)
    try:
        sawing = cutting_list(commission, timezone.localdate())
    except WorkshopError as error:
        return refused(request, commission, error.message)
    return pdf(cutting_list_pdf(sawing), f"{commission.mark}-cutting-list")


@require_safe
@needs("shop.see_schedule", zone="day-sheets")
def day_sheets_of_all(request: WorkshopRequest) -> HttpResponse:
    """The day sheets of everybody who works or is booked on a day."""
    hands = Hand.objects.of(request.workshop).select_related("workshop").filter(is_in_use=True)
    on = read_day(request.GET.get("on", "")) or timezone.localdate()
    sheets = [day_sheet(hand, on) for hand in hands]
    sheets = [sheet for sheet in sheets if sheet.items or sheet.hours] or sheets
    if not sheets:
        messages.error(request, NO_HAND)
        return redirect("day-sheets")
    return of_days(request, sheets, f"day-sheets-{on:%Y-%m-%d}")


@require_safe
@needs("shop.see_own_day", zone="day-sheets")
def day_sheet_of_hand(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One hand's day sheet; a hand prints only their own."""
    hand = get_object_or_404(Hand.objects.of(request.workshop).select_related("workshop"), pk=pk)
    is_own = hand.membership_id == request.membership.pk
    if not is_own and not request.user.has_perm("shop.see_schedule"):
        raise PermissionDenied
    on = read_day(request.GET.get("on", "")) or timezone.localdate()
    return of_days(
        request, [day_sheet(hand, on)], f"day-sheet-{on:%Y-%m-%d}-{slugify(hand.name)[:40]}"
    )


@require_safe
@needs("shop.see_schedule", zone="wall-chart")
def wall_chart_of_week(request: WorkshopRequest) -> HttpResponse:
    """A week of the plan, by station and by hand, for the wall."""
    plan = shown_plan(request)
    if plan is None:
        messages.error(request, NO_PLAN)
        return redirect("wall-chart")
    on = read_day(request.GET.get("on", "")) or timezone.localdate()
    monday = on - timedelta(days=on.weekday())
    chart = wall(plan, monday, now=timezone.now(), days=DAYS_SHOWN)
    return pdf(wall_chart_pdf(chart), f"wall-chart-{monday:%G-W%V}-plan-{plan.number}")


def of_job(
    request: WorkshopRequest, commission: Commission, assembly: int | None, name: str
) -> HttpResponse:
    """The job sheets of a commission or of one assembly, or why there are none."""
    try:
        sheets = job_sheets(
            commission, timezone.localdate(), clock_address(request), assembly=assembly
        )
    except WorkshopError as error:
        return refused(request, commission, error.message)
    if not sheets:
        return refused(request, commission, "There is no assembly to print yet; add one.")
    return pdf(job_sheets_pdf(sheets), name)


def of_days(request: WorkshopRequest, sheets: list[DaySheet], name: str) -> HttpResponse:
    """Some day sheets as one file."""
    return pdf(day_sheets_pdf(sheets, shop_of(request.workshop), clock_address(request)), name)


def clock_address(request: WorkshopRequest) -> Callable[[int], str]:
    """The whole address of an operation's clock page, as the code on a paper has it."""
    return lambda operation: request.build_absolute_uri(reverse("clock", args=[operation]))


def refused(request: WorkshopRequest, commission: Commission, sentence: str) -> HttpResponse:
    """Back to where the paper was asked for, with what must be changed first."""
    messages.error(request, sentence)
    if request.user.has_perm("orders.see_commissions"):
        return redirect(commission)
    return redirect("bench")


def pdf(paper: bytes, name: str) -> HttpResponse:
    """A paper to be looked at in the browser, and saved under a name that tells what it is."""
    answer = HttpResponse(paper, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer
