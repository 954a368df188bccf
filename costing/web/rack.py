"""The rack: boards, sheets, glues, and what is added to a finished size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from costing.models import Board, Glue, Sheet, TimberAllowance
from costing.services import rack
from costing.web.fields import MoneyField, PercentField
from orders.core.species import all_species
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import LengthField, SheetForm, faults_in, posted
from orders.web.found import attempted

ZONE = "rack"
NOT_KNOWN = [("", "choose a species")]
EVERY = [("", "every species without its own")]


def species_choices() -> list[tuple[str, str]]:
    """The species that can be named."""
    return sorted(((code, one.label) for code, one in all_species().items()), key=lambda c: c[1])


class BoardForm(SheetForm):
    """Sawn timber."""

    species = forms.ChoiceField(choices=lambda: NOT_KNOWN + species_choices())
    thickness_mm = LengthField(label="Thickness")
    grade = forms.CharField(max_length=40, required=False)
    price_per_m3 = MoneyField(label="Price per m³", decimal_places=2)
    waste_share_of_gross = PercentField(
        label="Waste, % of what is bought",
        required=False,
        max_value=95,
        help_text="Leave empty for the species’ usual waste.",
    )
    source = forms.CharField(label="Where the price is from", max_length=120, required=False)


class SheetMaterialForm(SheetForm):
    """Sheet material."""

    species = forms.CharField(label="Material", max_length=40)
    thickness_mm = LengthField(label="Thickness")
    price_per_m2 = MoneyField(label="Price per m²", decimal_places=2)
    waste_share_of_gross = PercentField(
        label="Waste, % of what is bought", required=False, max_value=95
    )
    source = forms.CharField(label="Where the price is from", max_length=120, required=False)


class GlueForm(SheetForm):
    """A glue with its maker's figures."""

    name = forms.CharField(max_length=80)
    kind = forms.CharField(max_length=40, help_text="Such as PVAc, polyurethane, hide glue.")
    durability_class = forms.ChoiceField(
        label="Durability class", choices=[(name, name) for name in ("D1", "D2", "D3", "D4")]
    )
    open_min = forms.FloatField(label="Open time, minutes")
    clamp_min = forms.FloatField(label="Clamp time, minutes")
    spread_g_per_m2 = forms.FloatField(label="Spread, g per m²")
    price_per_kg = MoneyField(label="Price per kg", decimal_places=2)
    source = forms.CharField(label="Where the figures are from", max_length=120, required=False)


class AllowanceForm(SheetForm):
    """What is added to a finished size."""

    species = forms.ChoiceField(choices=lambda: EVERY + species_choices(), required=False)
    length_mm = LengthField(label="On the length")
    width_mm = LengthField(label="On the width")
    thickness_mm = LengthField(label="On the thickness")
    waste_share_of_gross = PercentField(label="Waste, % of what is bought", max_value=95)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of thing in the rack: its table, its form, and its words."""

    noun: str
    model: Any
    form: type[SheetForm]


KINDS: Mapping[str, Kind] = {
    "boards": Kind(noun="board", model=Board, form=BoardForm),
    "sheets": Kind(noun="sheet material", model=Sheet, form=SheetMaterialForm),
    "glues": Kind(noun="glue", model=Glue, form=GlueForm),
    "allowances": Kind(noun="allowance", model=TimberAllowance, form=AllowanceForm),
}


@require_safe
@needs("costing.see_rack", zone=ZONE)
def rack_page(request: WorkshopRequest) -> HttpResponse:
    """All that is in the rack."""
    shown = {name: list(kind.model.objects.of(request.workshop)) for name, kind in KINDS.items()}
    return render(request, "costing/rack.html", {**shown, "is_empty": not any(shown.values())})


@require_http_methods(["GET", "HEAD", "POST"])
@needs("costing.edit_rack", zone=ZONE)
def rack_add(request: WorkshopRequest, shelf: str) -> HttpResponse:
    """Put something in the rack; the next one starts from the last."""
    kind = kind_of(shelf)
    form = kind.form(posted(request), workshop=request.workshop)
    if form.is_valid():
        with faults_in(form):
            item = rack.add_item(kind.model, request.workshop, **form.values())
            messages.success(request, f"{item} is in the rack.")
            again = "another" in request.POST
            return redirect("rack-add", shelf) if again else redirect("rack")
    return render(request, "costing/rack_form.html", {"form": form, "kind": kind, "shelf": shelf})


@require_http_methods(["GET", "HEAD", "POST"])
@needs("costing.edit_rack", zone=ZONE)
def rack_change(request: WorkshopRequest, shelf: str, pk: int) -> HttpResponse:
    """Change something in the rack."""
    kind, item = item_of(request, shelf, pk)
    form = kind.form(posted(request), workshop=request.workshop, row=item)
    if form.is_valid():
        with faults_in(form):
            item = rack.change_item(item, version=form.version, **form.values())
            messages.success(request, f"{item} is changed.")
            return redirect("rack")
    shown = {"form": form, "kind": kind, "shelf": shelf, "item": item}
    return render(request, "costing/rack_form.html", shown)


@require_POST
@needs("costing.edit_rack", zone=ZONE)
def rack_remove(request: WorkshopRequest, shelf: str, pk: int) -> HttpResponse:
    """Take something out of the rack."""
    _, item = item_of(request, shelf, pk)
    words = str(item)
    if attempted(request, rack.remove_item, item):
        messages.success(request, f"{words} is taken out of the rack.")
    return redirect("rack")


def kind_of(shelf: str) -> Kind:
    """The kind that an address names."""
    try:
        return KINDS[shelf]
    except KeyError:
        raise Http404 from None


def item_of(request: WorkshopRequest, shelf: str, pk: int) -> tuple[Kind, Any]:
    """Something in this workshop's rack."""
    kind = kind_of(shelf)
    return kind, get_object_or_404(kind.model.objects.of(request.workshop), pk=pk)
