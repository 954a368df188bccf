"""How hands compare with what is usual: for the owner, and each hand for themselves."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from costing.models import HandEffect
from costing.services.learning import fit_of
from costing.web.labour_ask import ZONE
from orders.services.standards import current_times
from orders.web.access import WorkshopRequest, needs


@require_safe
@needs("costing.see_hand_effects", zone=ZONE)
def hand_effects(request: WorkshopRequest) -> HttpResponse:
    """Every hand."""
    return shown(request, HandEffect.objects.of(request.workshop), is_own=False)


@require_safe
@needs("shop.see_own_day", zone="bench")
def own_effects(request: WorkshopRequest) -> HttpResponse:
    """The hand who is signed in, and nobody else."""
    mine = HandEffect.objects.of(request.workshop).filter(hand__membership=request.membership)
    return shown(request, mine, is_own=True)


def shown(request: WorkshopRequest, effects: Any, *, is_own: bool) -> HttpResponse:
    """The page: each hand at all operations, then one by one."""
    fit = fit_of(request.workshop)
    labels = {row.operation: row.label for row in current_times(request.workshop).rows}
    hands: dict[str, list[Any]] = {}
    for effect in effects.filter(fit=fit).select_related("hand") if fit else ():
        name = labels.get(effect.operation, effect.operation) or "All operations"
        hands.setdefault(effect.hand.name, []).append((name, effect))
    return render(
        request,
        "costing/hand_effects.html",
        {"fit": fit, "hands": hands, "is_own": is_own, "today": timezone.localdate()},
    )
