"""Patterns: choose one, give a few sizes, see it drawn, and put it into the commission."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import SafeString
from django.views.decorators.http import require_http_methods, require_safe

from orders.core import drawing
from orders.core.errors import WorkshopError
from orders.core.pattern import Made, Measure, Pattern, PatternField
from orders.core.pattern_book import all_patterns
from orders.models import OwnPattern
from orders.services.patterns import add_made

from .access import WorkshopRequest, needs
from .drawings import drawn
from .entry_forms import count_field, species_choices
from .formats import unit_of
from .forms import LengthField, SheetForm, add_fault, faults_in, posted
from .found import commission_of, refused

ZONE = "commissions"
SMALL_PX, LARGE_PX = 190.0, 460.0


def field_for(asked: PatternField) -> forms.Field:
    """A field of a form for a field of a pattern."""
    label = asked.label[:1].upper() + asked.label[1:]
    common: dict[str, Any] = {"label": label, "help_text": asked.help, "initial": asked.default}
    if asked.measure is Measure.MM:
        return LengthField(**common)
    if asked.measure is Measure.COUNT:
        return forms.IntegerField(**common)
    if asked.measure is Measure.CHOICE:
        words = [(one, one.replace("-", " ")) for one in asked.choices]
        return forms.ChoiceField(choices=words, **common)
    if asked.measure is Measure.SPECIES:
        return forms.ChoiceField(choices=species_choices()[1:], **common)
    suffix = ", %" if asked.measure is Measure.PERCENT else ", degrees"
    return forms.FloatField(**{**common, "label": label + suffix})


class PatternForm(SheetForm):
    """The sizes of a pattern, and how many are made."""

    quantity = count_field("How many")

    def __init__(self, *args: Any, kind: type[Pattern], **more: Any) -> None:
        self.kind = kind
        super().__init__(*args, **more)

    def put_together(self) -> None:
        """The fields of the pattern before the number."""
        own = {asked.name: field_for(asked) for asked in self.kind.fields()}
        self.fields = {**own, **self.fields}

    def made(self) -> Made:
        """What the pattern makes of what stands in the form.

        Raises RuleBroken on the field that is wrong.
        """
        if not self.is_bound:
            return self.kind().made()
        return self.kind.of(**self.sizes()).made()

    def sizes(self) -> dict[str, Any]:
        """The values of the pattern's own fields."""
        return {asked.name: plain(self.cleaned_data[asked.name]) for asked in self.kind.fields()}


def plain(value: Any) -> float | int | str:
    """A cleaned value as a pattern takes it."""
    return value if isinstance(value, str | int | float) else float(value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A pattern in the book: what it is, and its drawing with its usual sizes."""

    kind: type[Pattern]
    drawing: SafeString


@require_safe
@needs("orders.edit_commissions", zone=ZONE)
def pattern_book(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Every pattern, drawn with its usual sizes."""
    commission = commission_of(request, pk)
    if back := refused(request, commission):
        return back
    shown = [
        Shown(kind=kind, drawing=picture(kind().made(), f"pattern-{code}", SMALL_PX, marks=False))
        for code, kind in all_patterns().items()
    ]
    own = OwnPattern.objects.of(request.workshop)
    return render(
        request,
        "orders/pattern_book.html",
        {"commission": commission, "shown": shown, "own_patterns": own},
    )


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def pattern_add(request: WorkshopRequest, pk: int, pattern: str) -> HttpResponse:
    """Give the sizes of a pattern and put it into the commission."""
    commission = commission_of(request, pk)
    kind = all_patterns().get(pattern)
    if kind is None:
        raise Http404("There is no such pattern.")
    if back := refused(request, commission):
        return back
    form = PatternForm(posted(request), workshop=request.workshop, kind=kind)
    if "show" not in request.POST and form.is_valid():
        with faults_in(form):
            made = form.made()
            added = add_made(
                commission,
                made.assembly,
                quantity=form.cleaned_data["quantity"],
                pieces=made.pieces,
            )
            messages.success(request, f"{added.name} is added; change in it what you like.")
            return redirect("assembly", pk=added.pk)
    return render(
        request,
        "orders/pattern_form.html",
        {"form": form, "commission": commission, "kind": kind, **shown_in(form)},
    )


def shown_in(form: PatternForm) -> Mapping[str, Any]:
    """The drawing of what stands in the form; a broken rule becomes an error of its field."""
    if form.is_bound and not form.is_valid():
        return {}
    try:
        made = form.made()
    except WorkshopError as fault:
        if form.is_bound:
            add_fault(form, fault)
        return {}
    unit = unit_of(form.workshop)
    return {"made": made, "drawing": picture(made, "pattern", LARGE_PX, unit=unit)}


def picture(
    made: Made, ident: str, fit_px: float, *, marks: bool = True, unit: Any = "mm"
) -> SafeString:
    """What a pattern makes, as it stands."""
    return drawn(
        drawing.assembly(
            made.pieces,
            ident=ident,
            title=made.assembly.name,
            unit=unit,
            with_marks=marks,
            fit_px=fit_px,
        )
    )
