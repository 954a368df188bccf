"""The plans that are kept, two of them side by side."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from orders.web.access import WorkshopRequest, needs
from shop.models import Plan
from shop.services.chart import By
from shop.services.comparing import compare, compared_by_default
from shop.services.pair_sheet import pair_sheet

ROWS: tuple[By, ...] = ("order", "station", "hand")
MOST_MOVES = 20


@require_safe
@needs("shop.see_schedule", zone="wall-chart")
def plans_page(request: WorkshopRequest) -> HttpResponse:
    """Two plans side by side; the one in force and the proposal if nothing else is asked."""
    plans = list(Plan.objects.of(request.workshop).select_related("workshop"))
    by: By = next((way for way in ROWS if way == request.GET.get("by")), "order")
    page: dict[str, Any] = {"plans": plans, "by": by, "ways": ROWS, "now": timezone.now()}
    pair = compared_by_default(plans)
    if pair is not None:
        one, other = (
            asked(request, name, plans, usual) for name, usual in zip(SIDES, pair, strict=True)
        )
        found = compare(one, other)
        page |= {
            "found": found,
            "sheet": pair_sheet(found, by),
            "moves": found.moved[:MOST_MOVES],
            "more_moves": max(0, len(found.moved) - MOST_MOVES),
        }
    return render(request, "shop/plans.html", page)


SIDES = ("one", "other")


def asked(request: WorkshopRequest, name: str, plans: list[Plan], usual: Plan) -> Plan:
    """The plan whose number the address gives for a side, else the usual one."""
    number = request.GET.get(name, "")
    return next((plan for plan in plans if str(plan.number) == number), usual)
