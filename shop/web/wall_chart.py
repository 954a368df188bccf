"""The wall chart: who does what where, a week at a time, and the making of plans."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.db.models import Max
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.views.decorators.http import require_POST, require_safe

from orders.core.errors import WorkshopError
from orders.models import Commission
from orders.web.access import WorkshopRequest, needs
from shop.models import Hand, Job, Plan, Station
from shop.services import moving, plan_changes, planning
from shop.services.chart import By, chart, late_work
from shop.services.days import next_day_of_work
from shop.services.lanes import sheet_of
from shop.services.measures import weighed
from shop.services.told import told_of

from .jobs import drawn
from .plan_words import Worth, worth_of

SCALES = {"week": 7, "day": 1, "month": 28, "quarter": 91}
SPANS = {"week": "1 week", "day": "1 day", "month": "4 weeks", "quarter": "1 quarter"}
ROWS: tuple[By, ...] = ("station", "hand", "order")


@require_safe
@needs("shop.see_schedule", zone="wall-chart")
def wall_chart(request: WorkshopRequest) -> HttpResponse:
    """A stretch of the plan, by station, hand or order, drawn or as rows."""
    plan = shown_plan(request)
    page: dict[str, Any] = {"plan": plan, **planning_state(request, plan)}
    page |= asked(request, plan)
    if plan is None:
        return render(request, "shop/wall_chart_empty.html", page | reasons(request))
    late = late_work(plan)
    found = chart(plan, page["first_day"], SCALES[page["scale"]], page["by"])
    followed = page["followed"]
    drawing = sheet_of(plan, found, now=timezone.now(), followed=followed.pk if followed else None)
    page |= {"sheet": drawing, "late": late, "worth": worth(plan, len(late)), "now": timezone.now()}
    page |= {"told": told_of(plan), "weighed": weighed(plan.objective)}
    page["has_prices"] = any(each.cost_min for each in page["weighed"][1:])
    page["in_order"] = any(each.place for each in page["weighed"])
    page["may_move"] = (
        request.user.has_perm("shop.make_schedule")
        and page["scale"] != "quarter"
        and plan.state in (Plan.State.ADOPTED, Plan.State.PROPOSED)
    )
    page["last_shown"] = drawing.axis.days[-1]
    if not drawing.orders:
        page["reaches"] = plan.bookings.aggregate(last=Max("ends_at"))["last"]
    template = "wall_chart_rows" if request.GET.get("as") == "rows" else "wall_chart"
    return render(request, f"shop/{template}.html", page)


def worth(plan: Plan, late: int) -> Worth:
    """How good the plan is."""
    return worth_of(
        method=plan.method,
        late_orders=late,
        lateness_min=plan.late_min,
        lower_bound_min=plan.lower_bound if plan.objective.get("bounds_lateness", True) else None,
        is_proved=plan.is_proved,
        tried=plan.objective.get("evaluations", 0),
    )


def shown_plan(request: WorkshopRequest) -> Plan | None:
    """The plan asked for; else the proposal, for who may adopt it; else the one in force."""
    plans = Plan.objects.of(request.workshop).select_related("workshop", "adopted_by")
    number = request.GET.get("plan", "")
    if number.isdecimal():
        asked: Plan = get_object_or_404(plans, number=int(number[:9]))
        return asked
    in_force: Plan | None = plans.in_force().first()
    if in_force and not request.user.has_perm("shop.make_schedule"):
        return in_force
    proposal: Plan | None = plans.filter(state=Plan.State.PROPOSED).first()
    return proposal or in_force


def planning_state(request: WorkshopRequest, plan: Plan | None) -> dict[str, Any]:
    """What goes on beside the plan: a job that makes one, another plan, changes since."""
    last = Job.objects.of(request.workshop).filter(kind=planning.KIND).first()
    state: dict[str, Any] = {"is_stale": planning.is_stale(request.workshop)}
    if last and not last.is_finished:
        state |= drawn(request, last)
    elif last and last.state == Job.State.FAILED and (not plan or last.made_at > plan.made_at):
        state["failed"] = last
    if plan:
        others = Plan.objects.of(request.workshop).exclude(pk=plan.pk)
        offered = [Plan.State.ADOPTED, Plan.State.PROPOSED]
        state["other"] = others.filter(state__in=offered).first()
    if request.user.has_perm("shop.make_schedule"):
        state["last_change"], state["taken_back"] = plan_changes.at_hand(request.workshop)
    return state


def asked(request: WorkshopRequest, plan: Plan | None) -> dict[str, Any]:
    """What the address asks to see; what it does not say, or says wrongly, is as usual.

    Without a day it is the one on which the plan next has work.
    """
    today = timezone.localdate()
    on = read_day(request.GET.get("on", ""))
    on = on or (next_day_of_work(plan, timezone.now()) if plan else today)
    scale = request.GET.get("scale", "week")
    scale = scale if scale in SCALES else "week"
    by: By = next((way for way in ROWS if way == request.GET.get("by")), "station")
    first_day = on if scale == "day" else on - timedelta(days=on.weekday())
    step = timedelta(days=SCALES[scale])
    return {
        "by": by,
        "scale": scale,
        "first_day": first_day,
        "before": first_day - step,
        "after": first_day + step,
        "day_in_view": today if first_day <= today < first_day + step else first_day,
        "heading": heading(scale, first_day),
        "heading_before": heading(scale, first_day - step),
        "heading_after": heading(scale, first_day + step),
        "scale_words": SPANS[scale],
        "scales": list(SPANS.items()),
        "ways": ROWS,
        "today": today,
        "followed": followed_order(request),
    }


def heading(scale: str, first_day: date) -> str:
    """What a stretch is called."""
    if scale == "day":
        return f"{first_day:%A} {first_day.day} {first_day:%B}"
    last = first_day + timedelta(days=SCALES[scale] - 1)
    return f"Week {first_day:%V}" if scale == "week" else f"Weeks {first_day:%V} to {last:%V}"


def read_day(text: str) -> date | None:
    """A day of a working life, written 2026-11-25, or None."""
    try:
        day = parse_date(text)
    except ValueError:
        return None
    return day if day and 2000 <= day.year <= 2200 else None


def followed_order(request: WorkshopRequest) -> Commission | None:
    """The order that the reader follows on the chart."""
    pk = request.GET.get("order", "")
    if not pk.isdecimal():
        return None
    found: Commission = get_object_or_404(Commission.objects.of(request.workshop), pk=int(pk[:18]))
    return found


def reasons(request: WorkshopRequest) -> dict[str, bool]:
    """Why there is no plan yet."""
    return {
        "has_stations": Station.objects.of(request.workshop).filter(is_in_use=True).exists(),
        "has_hands": Hand.objects.of(request.workshop).filter(is_in_use=True).exists(),
        "has_work": planning.has_work(request.workshop),
    }


@require_POST
@needs("shop.make_schedule", zone="wall-chart")
def plan_again(request: WorkshopRequest) -> HttpResponse:
    """Fit the plan in force to what has changed, and ask for a better one.

    What cannot be planned is said by the job, whose fault the chart shows.
    """
    moving.fit(request.workshop, by=request.user)
    planning.ask_for_plan(request.workshop, by=request.user)
    return redirect("wall-chart")


@require_POST
@needs("shop.make_schedule", zone="wall-chart")
def adopt_plan(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Put a proposal, or a plan kept beside, in force."""
    plan = get_object_or_404(Plan.objects.of(request.workshop), pk=pk)
    try:
        planning.adopt(plan, by=request.user)
    except WorkshopError as error:
        messages.error(request, error.message)
    else:
        messages.success(request, f"Plan {plan.number} is in force; the benches work to it.")
    return redirect("wall-chart")


@require_POST
@needs("shop.make_schedule", zone="wall-chart")
def keep_plan(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Keep a proposal beside the plan in force."""
    plan = get_object_or_404(Plan.objects.of(request.workshop), pk=pk)
    try:
        planning.keep(plan)
    except WorkshopError as error:
        messages.error(request, error.message)
    else:
        messages.success(request, f"Plan {plan.number} is kept; no other plan displaces it.")
    return redirect("plans")


@require_POST
@needs("shop.make_schedule", zone="wall-chart")
def discard_plan(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Throw a proposal away."""
    plan = get_object_or_404(Plan.objects.of(request.workshop), pk=pk)
    try:
        planning.discard(plan)
    except WorkshopError as error:
        messages.error(request, error.message)
    else:
        messages.success(request, f"Plan {plan.number} is thrown away; the one before stays.")
    return redirect("wall-chart")
