"""Standard times on the screen: what is proposed, the editions, and the way back."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from costing.models import RefusedProposal
from costing.services import proposals as services
from costing.services.labour import joint_label
from costing.services.learning import fit_of
from costing.web.labour_ask import MAY_SEE, ZONE
from orders.core.times import StandardTime
from orders.models import StandardEdition
from orders.services.standards import changed_rows, roll_back
from orders.web.access import WorkshopRequest, needs
from orders.web.formats import figure
from orders.web.forms import SheetForm, faults_in, posted

MAY_ADOPT = "orders.edit_standards"
UNITS = {"m": "m", "cm2": "cm²", "cm3": "cm³", "mm": "mm", "m2": "m²"}
WORDS = {
    "line": "of line",
    "glue": "glued",
    "area": "of surface",
    "hole_depth": "of hole depth",
}
DRIVER = re.compile(r"(?:([ab])\.)?([a-z_]+?)(?:_(m|cm2|cm3|mm|m2))?$")


class AdoptForm(SheetForm):
    """From which day the ticked proposals are in force."""

    takes_focus = False
    valid_from = forms.DateField(
        label="Valid from", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )
    note = forms.CharField(required=False, max_length=200, label="Note")


class BackForm(SheetForm):
    """From which day an earlier edition's minutes are in force again."""

    takes_focus = False
    valid_from = forms.DateField(
        label="Valid from", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )


def made_of(row: StandardTime) -> str:
    """Minutes of one piece as they are reckoned: 4.0 + 0.55 per cm³ removed."""
    each = figure(row.each_min, 2)
    if not row.per_driver:
        return each
    per = f"{row.per_driver:g} per {driver_words(row.driver)}"
    return f"{each} + {per}" if row.each_min else per


def driver_words(driver: str) -> str:
    """What the minutes are counted by: a.removed_cm3 is cm³ removed."""
    found = DRIVER.match(driver)
    if found is None or found[3] is None:
        return driver.replace("_", " ").removesuffix("s")
    return f"{UNITS[found[3]]} {WORDS.get(found[2], found[2])}"


@require_http_methods(["GET", "HEAD", "POST"])
@needs(MAY_SEE, zone=ZONE)
def proposals_page(request: WorkshopRequest) -> HttpResponse:
    """What the clockings propose; the owner adopts or refuses, one by one or together."""
    form = AdoptForm(
        posted(request),
        workshop=request.workshop,
        initial={"valid_from": timezone.localdate()},
    )
    is_owner = request.user.has_perm(MAY_ADOPT)
    if request.method == "POST" and not is_owner:
        messages.error(request, "The owner adopts standards; you may look at them.")
        return redirect("proposals")
    ticked = {int(one) for one in request.POST.getlist("cell") if one.isdecimal()}
    if request.POST.get("do") == "all":
        ticked = {one.cell.pk for one in services.proposals(request.workshop) if not one.coming}
    if form.is_valid():
        with faults_in(form):
            decided(request, form, ticked)
            return redirect("proposals")
    return render(
        request, "costing/proposals.html", {"form": form, "ticked": ticked, **page_of(request)}
    )


def decided(request: WorkshopRequest, form: AdoptForm, ticked: set[int]) -> None:
    """Adopt or refuse what is ticked, and say so."""
    shop, by = request.workshop, request.user
    if request.POST.get("do") == "refuse":
        note, now = form.cleaned_data["note"], timezone.now()
        count = services.refuse(shop, ticked, by=by, at=now, note=note)
        messages.success(request, f"{count} left as they are.")
    else:
        edition = services.adopt(shop, ticked, by=by, **form.values())
        messages.success(
            request,
            f"Edition {edition.number} is made, valid from {edition.valid_from:%-d %B %Y}."
            " What is quoted and released keeps its minutes.",
        )


def page_of(request: WorkshopRequest) -> dict[str, Any]:
    """Proposals in words, editions, and what was refused."""
    fit = fit_of(request.workshop)
    editions = list(StandardEdition.objects.of(request.workshop).select_related("made_by"))
    refused = RefusedProposal.objects.filter(edition=fit.edition) if fit else ()
    found = services.proposals(request.workshop)
    return {
        "fit": fit,
        "proposals": [
            {
                "one": one,
                "joint": joint_label(one.cell.joint),
                "was": made_of(one.old),
                "new": made_of(one.new),
            }
            for one in found
        ],
        "quotes_effect": sum(one.cell.quotes_effect or 0 for one in found),
        "year_effect": sum(one.cell.year_effect or 0 for one in found),
        "refused": [(one, joint_label(one.joint)) for one in refused],
        "editions": editions,
        "today": timezone.localdate(),
    }


@require_safe
@needs(MAY_SEE, zone=ZONE)
def standard_edition(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One edition beside the one before it."""
    return shown(request, edition_of(request, pk), BackForm(initial=start()))


def edition_of(request: WorkshopRequest, pk: int) -> StandardEdition:
    """The edition, if this workshop has it."""
    found: StandardEdition = get_object_or_404(
        StandardEdition.objects.of(request.workshop).select_related("made_by"), pk=pk
    )
    return found


def start() -> dict[str, Any]:
    """Today, unless told."""
    return {"valid_from": timezone.localdate()}


def shown(request: WorkshopRequest, edition: StandardEdition, form: BackForm) -> HttpResponse:
    """The page of an edition."""
    every = StandardEdition.objects.of(request.workshop)
    before = every.filter(number__lt=edition.number).first()
    latest = every.first()
    pairs = changed_rows(edition, before) if before else ()
    return render(
        request,
        "costing/standard_edition.html",
        {
            "edition": edition,
            "before": before,
            "form": form,
            "is_latest": edition == latest,
            "rows": [
                {
                    "row": row,
                    "joint": joint_label(row.joint),
                    "old": old,
                    "was": made_of(old),
                    "now": made_of(row),
                }
                for row, old in pairs
            ],
            "today": timezone.localdate(),
        },
    )


@require_POST
@needs(MAY_ADOPT, zone=ZONE)
def standards_back(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Make the next edition with this one's minutes."""
    edition = edition_of(request, pk)
    form = BackForm(request.POST, workshop=request.workshop)
    if form.is_valid():
        with faults_in(form):
            made = roll_back(request.workshop, edition, by=request.user, **form.values())
            messages.success(request, f"Edition {made.number} has the minutes of {edition.number}.")
            return redirect("standard-edition", made.pk)
    return shown(request, edition, form)
