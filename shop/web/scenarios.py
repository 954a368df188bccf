"""Scenarios: what the shop could do otherwise, side by side with the owner's measures."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from orders.core.errors import WorkshopError
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import SheetForm, faults_in
from shop.models import Job, Scenario
from shop.services import scenarios
from shop.services.scenario_planning import KIND, ask_for_scenarios

from .jobs import drawn
from .scenario_forms import FORMS, ScenarioForm


@require_safe
@needs("shop.make_schedule", zone="wall-chart")
def scenario_list(request: WorkshopRequest) -> HttpResponse:
    """All scenarios side by side."""
    return side_by_side(request, ScenarioForm(workshop=request.workshop))


def side_by_side(request: WorkshopRequest, form: ScenarioForm) -> HttpResponse:
    """The page of all scenarios, with what was typed wrongly where something was."""
    sides = scenarios.side_by_side(request.workshop)
    page: dict[str, Any] = {
        "sides": sides,
        "orders": orders_of(sides),
        "worst_min": max([1.0, *(side.outcome.late_min for side in sides if side.outcome)]),
        "has_own": any(not side.scenario.is_base for side in sides),
        "is_outdated": any(side.is_outdated for side in sides),
        "form": form,
        "now": timezone.now(),
    }
    job = Job.objects.of(request.workshop).filter(kind=KIND).first()
    if job is not None and not job.is_finished:
        page |= drawn(request, job)
    elif job is not None and job.state == Job.State.FAILED:
        page["failed"] = job
    return render(request, "shop/scenarios.html", page)


def orders_of(sides: list[scenarios.Side]) -> list[dict[str, Any]]:
    """Each order with its outcome in every scenario, those late anywhere first."""
    found: dict[int, scenarios.OrderOutcome] = {}
    for side in sides:
        for order in side.outcome.orders if side.outcome else ():
            found.setdefault(order.commission, order)
    rows = [
        {"order": order, "outcomes": [(side.order(pk), side.outcome is not None) for side in sides]}
        for pk, order in found.items()
    ]
    return sorted(
        rows,
        key=lambda row: (
            -max(found.late_min if found else 0 for found, _ in row["outcomes"]),
            row["order"].label,
        ),
    )


@require_POST
@needs("shop.make_schedule", zone="wall-chart")
def scenario_add(request: WorkshopRequest) -> HttpResponse:
    """Keep a scenario under a name; what it supposes is said on its own page."""
    form = ScenarioForm(request.POST, workshop=request.workshop)
    if form.is_valid():
        with faults_in(form):
            row = scenarios.add_scenario(request.workshop, **form.values())
            return redirect("scenario", pk=row.pk)
    return side_by_side(request, form)


@require_safe
@needs("shop.make_schedule", zone="wall-chart")
def scenario_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """What a scenario supposes, and a form for each kind of change."""
    return shown(request, scenario_of(request, pk))


def shown(
    request: WorkshopRequest, row: Scenario, wrong: SheetForm | None = None, kind: str = ""
) -> HttpResponse:
    """The page of a scenario, with what was typed wrongly where something was."""
    words = scenarios.Words(request.workshop)
    page = {
        "scenario": row,
        "changes": [words.of(change) for change in scenarios.changes_of(row)],
        "forms": [
            (
                key,
                wrong
                if wrong is not None and key == kind
                else form(workshop=request.workshop, prefix=key),
            )
            for key, form in FORMS.items()
        ],
        "open": kind,
    }
    return render(request, "shop/scenario.html", page)


@require_POST
@needs("shop.make_schedule", zone="wall-chart")
def change_add(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Suppose one thing more."""
    row = scenario_of(request, pk)
    kind = request.POST.get("kind", "")
    if kind not in FORMS:
        return redirect("scenario", pk=row.pk)
    form: Any = FORMS[kind](request.POST, workshop=request.workshop, prefix=kind)
    if form.is_valid():
        with faults_in(form):
            changes = [*scenarios.changes_of(row), form.change]
            scenarios.change_scenario(row, changes=changes)
            return redirect("scenario", pk=row.pk)
    return shown(request, row, form, kind)


@require_POST
@needs("shop.make_schedule", zone="wall-chart")
def change_drop(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Suppose one thing less, by its place."""
    row = scenario_of(request, pk)
    changes = list(scenarios.changes_of(row))
    place = request.POST.get("place", "")
    if place.isdecimal() and int(place[:4]) < len(changes):
        del changes[int(place[:4])]
        scenarios.change_scenario(row, changes=changes)
    return redirect("scenario", pk=row.pk)


@require_POST
@needs("shop.make_schedule", zone="wall-chart")
def scenario_remove(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Throw a scenario away."""
    row = scenario_of(request, pk)
    try:
        scenarios.remove_scenario(row)
    except WorkshopError as error:
        messages.error(request, error.message)
    else:
        messages.success(request, f"“{row}” is thrown away.")
    return redirect("scenarios")


@require_POST
@needs("shop.make_schedule", zone="wall-chart")
def scenarios_plan(request: WorkshopRequest) -> HttpResponse:
    """Plan them all."""
    ask_for_scenarios(request.workshop, by=request.user)
    return redirect("scenarios")


def scenario_of(request: WorkshopRequest, pk: int) -> Scenario:
    """A scenario of the workshop, but not the shop as it stands."""
    rows = Scenario.objects.of(request.workshop).filter(is_base=False)
    found: Scenario = get_object_or_404(rows.select_related("workshop"), pk=pk)
    return found
