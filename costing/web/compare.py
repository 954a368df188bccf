"""Alternatives to a joint, side by side, and the swap."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from costing.services.comparing import Priced, compared
from costing.services.estimating import estimate_for
from orders.core.errors import WorkshopError
from orders.models import Commission
from orders.services import swapping
from orders.web.access import WorkshopRequest, needs
from orders.web.drawings import glue_rows, small_isometric
from orders.web.formats import duration, money
from orders.web.found import attempted, joint_of

ZONE = "commissions"
MAY_PRICE = "costing.see_estimates"


@require_safe
@needs("orders.see_commissions", zone=ZONE)
def compare_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The joint and all that could take its place on the same parts."""
    joint = joint_of(request, pk)
    commission = joint.assembly.commission
    shown: dict[str, Any] = {"joint": joint, "commission": commission}
    try:
        found = compared(joint, timezone.localdate())
    except WorkshopError as fault:
        return render(request, "costing/compare.html", {**shown, "fault": fault.message})
    like = commission.assemblies.filter(joints__type=joint.type).count()
    shown |= {
        "found": found,
        "alternatives": [drawn(one) for one in found.priced],
        "refused": found.comparison.refused,
        "may_edit": request.user.has_perm("orders.edit_commissions") and not commission.is_frozen,
        "has_more": like > 1 or joint.assembly.joints.filter(type=joint.type).count() > 1,
        **order_now(request, commission),
    }
    return render(request, "costing/compare.html", shown)


def drawn(one: Priced) -> dict[str, Any]:
    """One alternative with its drawing and its glue by grain."""
    study = one.alternative.study
    return {
        "priced": one,
        "alternative": one.alternative,
        "drawing": small_isometric(study, f"with-{study.joint.code}"),
        "glue": [row for row in glue_rows(study) if row.area_mm2],
    }


def order_now(request: WorkshopRequest, commission: Commission) -> dict[str, Any]:
    """The order's price and hours as they stand, for those who price."""
    if not request.user.has_perm(MAY_PRICE):
        return {}
    try:
        return {"estimate": estimate_for(commission, timezone.localdate())}
    except WorkshopError as fault:
        return {"order_fault": fault.message}


@require_POST
@needs("orders.edit_commissions", zone=ZONE)
def joint_swap(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Put another type in the place of this joint, or of all of its type in the order."""
    joint = joint_of(request, pk)
    commission = joint.assembly.commission
    to, before = request.POST.get("to", ""), order_now(request, commission)
    if request.POST.get("all"):
        done = attempted(request, swapping.swap_all, commission, joint.type, to)
    else:
        done = attempted(request, swapping.swap_joint, joint, to)
    if done:
        messages.success(request, told(request, commission, before, done))
    return redirect("joint-compare", pk=joint.pk)


def told(
    request: WorkshopRequest, commission: Commission, before: dict[str, Any], done: Any
) -> str:
    """What was swapped, and what that does to the order."""
    count = len(done) if isinstance(done, list) else 1
    words = f"{count} joint{'s are' if count > 1 else ' is'} swapped."
    after = order_now(request, commission)
    if "estimate" not in before or "estimate" not in after:
        return words
    was, now = before["estimate"], after["estimate"]
    return (
        f"{words} The order: {money(was.net, was.currency)} becomes "
        f"{money(now.net, now.currency)} net, {duration(was.hours.mean * 60)} become "
        f"{duration(now.hours.mean * 60)}."
    )
