"""How full the shop is, by week."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from orders.web.access import WorkshopRequest, needs
from shop.services.load import load_of

from .wall_chart import shown_plan


@require_safe
@needs("shop.see_schedule", zone="wall-chart")
def load_page(request: WorkshopRequest) -> HttpResponse:
    """The load of every station and hand over the coming weeks."""
    plan, now = shown_plan(request), timezone.now()
    page: dict[str, Any] = {"plan": plan, "now": now}
    if plan is not None:
        load = load_of(plan, now)
        page["load"] = load
        page["lists"] = [
            (heading, [(row, load.is_narrow(row)) for row in rows])
            for heading, rows in (("Stations", load.stations), ("Hands", load.hands))
        ]
    return render(request, "shop/load.html", page)
