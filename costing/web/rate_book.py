"""The rate book: its editions, what is in force, two side by side, and the next edition."""

from __future__ import annotations

from django.contrib import messages
from django.db.models import prefetch_related_objects
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from costing.core.machine_hours import machine_hour
from costing.models import RateEdition
from costing.services import rates
from costing.services.rate_rows import build_ups_of, machine_cost, parts_of
from costing.web.rate_figures import side_by_side
from costing.web.rate_form import EditionForm, start_from
from costing.web.unfold import unfolding
from orders.core.errors import NotReady
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import faults_in, posted

ZONE = "rate-book"


@require_safe
@needs("costing.see_rates", zone=ZONE)
def rate_book(request: WorkshopRequest) -> HttpResponse:
    """The edition in force, and all others."""
    try:
        in_force = rates.rates_in_force(request.workshop, timezone.localdate())
    except NotReady:
        in_force = None
    return shown(request, in_force)


@require_safe
@needs("costing.see_rates", zone=ZONE)
def rate_edition(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One edition beside the one before it, or beside another that is asked for."""
    return shown(request, edition_of(request, pk))


def edition_of(request: WorkshopRequest, pk: int) -> RateEdition:
    """An edition of the workshop."""
    rows = RateEdition.objects.of(request.workshop).select_related("workshop")
    found: RateEdition = get_object_or_404(rows, pk=pk)
    return found


def shown(request: WorkshopRequest, edition: RateEdition | None) -> HttpResponse:
    """The page of an edition, or the empty rate book."""
    editions = list(RateEdition.objects.of(request.workshop).select_related("made_by", "workshop"))
    before = beside(request, edition, editions)
    compared = [one for one in (edition, before) if one]
    prefetch_related_objects(compared, "labour", "machines", "hands__hand", "tax_steps")
    return render(
        request,
        "costing/rate_book.html",
        {
            "edition": edition,
            "before": before,
            "editions": editions,
            "today": timezone.localdate(),
            "rows": side_by_side(before, edition) if edition else [],
            "built_up": built_up(edition) if edition else "",
        },
    )


def beside(
    request: WorkshopRequest, edition: RateEdition | None, editions: list[RateEdition]
) -> RateEdition | None:
    """The edition that is asked for with ?beside=, else the one before."""
    if edition is None:
        return None
    asked = request.GET.get("beside", "")
    wanted = [one for one in editions if str(one.pk) == asked and one.pk != edition.pk]
    earlier = [one for one in editions if one.number < edition.number]
    return next(iter(wanted or earlier), None)


def built_up(edition: RateEdition) -> str:
    """The machines whose rate is built up from its parts, each unfolding to them."""
    currency = edition.workshop.currency
    hours = [
        (kind, machine_hour(machine_cost(parts_of(row), edition), currency))
        for kind, row in build_ups_of(edition).items()
    ]
    return unfolding(
        [hour.named(kind.capitalize(), "per h that it runs") for kind, hour in hours], currency
    )


@require_http_methods(["GET", "HEAD", "POST"])
@needs("costing.edit_rates", zone=ZONE)
def rate_book_new(request: WorkshopRequest) -> HttpResponse:
    """Make the next edition, or only show what machines add up to."""
    last = RateEdition.objects.of(request.workshop).order_by("-number").first()
    form = EditionForm(posted(request), workshop=request.workshop, initial=start_from(last))
    if form.is_valid() and "show" not in request.POST:
        with faults_in(form, form.names_of_faults()):
            edition = rates.new_edition(request.workshop, by=request.user, **form.edition())
            messages.success(request, f"Edition {edition.number} of the rate book is made.")
            return redirect("rate-edition", edition.pk)
    return render(request, "costing/rate_form.html", {"form": form, "last": last})
