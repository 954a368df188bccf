"""Patterns of the shop's own: keep an assembly, say which sizes follow which, make it again."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from orders.core.own_pattern import PART_SIZES, Follows
from orders.models import Assembly, OwnPattern
from orders.services import own_patterns
from orders.services.patterns import add_made

from .access import WorkshopRequest, needs
from .entry_forms import count_field
from .formats import length
from .forms import LengthField, SheetForm, faults_in, posted
from .found import assembly_of, commission_of, refused

ZONE = "commissions"
FREE = ("first", "second", "third")
SHARES = {"": 1.0, " by half": 0.5}


class KeepForm(SheetForm):
    """What the pattern is called, what is asked for, and what follows it."""

    name = forms.CharField(max_length=120, label="Name of the pattern")
    note = forms.CharField(max_length=200, required=False)

    def __init__(self, *args: Any, assembly: Assembly, **more: Any) -> None:
        self.assembly = assembly
        self.parts = list(assembly.parts.all())
        super().__init__(*args, **more)

    def put_together(self) -> None:
        """Three sizes that may be set free, then one choice for each size of each part."""
        sizes = [("", "not used")] + [
            (f"{part.mark}.{size}", self.words(part, size))
            for part in self.parts
            for size in PART_SIZES
        ]
        for word in FREE:
            self.fields[f"{word}-label"] = forms.CharField(
                label=f"The {word} size asked for", max_length=40, required=False
            )
            self.fields[f"{word}-size"] = forms.ChoiceField(
                label="is this size", choices=sizes, required=False
            )
        follows = [("", "stays")] + [
            (word + share, f"follows the {word}{share}") for word in FREE for share in SHARES
        ]
        for part in self.parts:
            for size in PART_SIZES:
                self.fields[f"{part.mark}.{size}"] = forms.ChoiceField(
                    label=self.words(part, size), choices=follows, required=False
                )

    def words(self, part: Any, size: str) -> str:
        """A size of a part: P1 leg, length 700."""
        value = length(getattr(part, size), self.workshop)
        return f"{part.mark} {part.name}, {size.removesuffix('_mm')} {value}"

    @property
    def free_rows(self) -> list[tuple[Any, Any]]:
        """The label and the size of each that may be set free."""
        return [(self[f"{word}-label"], self[f"{word}-size"]) for word in FREE]

    @property
    def part_rows(self) -> list[tuple[Any, list[Any]]]:
        """Each part with the choices of its three sizes."""
        return [(part, [self[f"{part.mark}.{size}"] for size in PART_SIZES]) for part in self.parts]

    def clean(self) -> dict[str, Any]:
        """A size that is set free needs its label, and a label its size."""
        typed = super().clean() or {}
        for word in FREE:
            label, size = typed.get(f"{word}-label"), typed.get(f"{word}-size")
            if size and not label:
                self.add_error(
                    f"{word}-label", "Say what this size is called when it is asked for."
                )
            if label and not size:
                self.add_error(f"{word}-size", "Choose the size that this is.")
        return typed

    def rules(self) -> dict[str, Any]:
        """What the service takes."""
        typed = self.cleaned_data
        known = {part.mark: part for part in self.parts}
        labels = {word: typed[f"{word}-label"] for word in FREE if typed.get(f"{word}-size")}
        free, follows = {}, []
        for word, label in labels.items():
            mark, _, size = typed[f"{word}-size"].partition(".")
            free[label] = float(getattr(known[mark], size))
            follows.append(Follows(mark=mark, size=size, field=label))
        chosen = {(rule.mark, rule.size) for rule in follows}
        for mark in known:
            for size in PART_SIZES:
                word, _, share = typed.get(f"{mark}.{size}", "").partition(" ")
                if word in labels and (mark, size) not in chosen:
                    factor = SHARES[f" {share}" if share else ""]
                    follows.append(Follows(mark=mark, size=size, field=labels[word], factor=factor))
        return {"name": typed["name"], "note": typed["note"], "free": free, "follows": follows}


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def pattern_keep(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Keep an assembly as a pattern of the shop's own."""
    assembly = assembly_of(request, pk)
    form = KeepForm(
        posted(request),
        workshop=request.workshop,
        assembly=assembly,
        initial={"name": assembly.name},
    )
    if form.is_valid():
        with faults_in(form, {"free": "first-label"}):
            kept = own_patterns.keep_pattern(assembly, **form.rules())
            messages.success(request, f"{kept.name} is kept among the patterns of the shop.")
            return redirect("assembly", pk=assembly.pk)
    shown = {"form": form, "assembly": assembly, "commission": assembly.commission}
    return render(request, "orders/pattern_keep.html", shown)


class OwnForm(SheetForm):
    """The free sizes of a pattern, and how many are made."""

    quantity = count_field("How many")

    def __init__(self, *args: Any, pattern: OwnPattern, **more: Any) -> None:
        self.core = own_patterns.pattern_of(pattern)
        super().__init__(*args, **more)

    def put_together(self) -> None:
        """A field for each free size."""
        own: dict[str, forms.Field] = {
            one.name: LengthField(label=one.label, initial=one.value_mm) for one in self.core.free
        }
        self.fields = {**own, **self.fields}

    def sizes(self) -> dict[str, float]:
        """The sizes that were given."""
        return {one.name: float(self.cleaned_data[one.name]) for one in self.core.free}


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def own_pattern_add(request: WorkshopRequest, pk: int, own_pattern: int) -> HttpResponse:
    """Give the sizes of a pattern of the shop's own and put it into the commission."""
    commission = commission_of(request, pk)
    pattern = get_object_or_404(OwnPattern.objects.of(request.workshop), pk=own_pattern)
    if back := refused(request, commission):
        return back
    form = OwnForm(posted(request), workshop=request.workshop, pattern=pattern)
    if form.is_valid():
        with faults_in(form):
            made = own_patterns.made_of(pattern, form.sizes())
            added = add_made(commission, made, quantity=form.cleaned_data["quantity"])
            messages.success(request, f"{added.name} is added; change in it what you like.")
            return redirect("assembly", pk=added.pk)
    shown = {"form": form, "commission": commission, "pattern": pattern}
    return render(request, "orders/own_pattern_form.html", shown)


@require_POST
@needs("orders.edit_commissions", zone=ZONE)
def own_pattern_forget(request: WorkshopRequest, pk: int, own_pattern: int) -> HttpResponse:
    """Throw a pattern away; what was made of it stays."""
    commission = commission_of(request, pk)
    pattern = get_object_or_404(OwnPattern.objects.of(request.workshop), pk=own_pattern)
    own_patterns.forget_pattern(pattern)
    messages.success(request, f"The pattern {pattern.name} is thrown away.")
    return redirect("pattern-book", pk=commission.pk)
