"""Are our estimates honest? Quotes and forecasts against the hours that orders took."""

from __future__ import annotations

from collections.abc import Sequence

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from costing.core.labour import Foretold
from costing.services.honesty import record
from costing.services.learning import fit_of
from costing.web.labour_ask import MAY_SEE, ZONE
from orders.models import Commission
from orders.web.access import WorkshopRequest, needs

MOST_DRAWN = 60
WAYS = {"quoted": "as quoted", "learned": "as learned"}


@require_safe
@needs(MAY_SEE, zone=ZONE)
def honesty_page(request: WorkshopRequest) -> HttpResponse:
    """Month by month, and each order of the last ones, as quoted or as learned."""
    fit = fit_of(request.workshop)
    found = record(request.workshop, fit)
    way = request.GET.get("as", "")
    if way not in WAYS:
        way = "quoted" if found.quoted else "learned"
    shown: tuple[Foretold, ...] = getattr(found, way)[-MOST_DRAWN:]
    orders = Commission.objects.of(request.workshop).in_bulk([int(one.order) for one in shown])
    return render(
        request,
        "costing/honesty.html",
        {
            "fit": fit,
            "record": found,
            "way": way,
            "ways": WAYS,
            "plot": plot_of(shown),
            "orders": [(orders[int(one.order)], one) for one in reversed(shown)],
            "today": timezone.localdate(),
        },
    )


def plot_of(shown: Sequence[Foretold]) -> str:
    """The orders drawn; "" for none."""
    from costing.web.labour_plots import Promise, promises  # takes a second to load

    if not shown:
        return ""
    return promises(
        [
            Promise(
                on=one.began,
                low=one.low / one.hours.p50,
                p80=one.hours.p80 / one.hours.p50,
                high=one.hours.p90 / one.hours.p50,
                taken=one.actual / one.hours.p50,
            )
            for one in shown
        ]
    )
