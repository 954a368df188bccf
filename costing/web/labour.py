"""Labour per joint type: what was estimated, what was taken, and the clockings behind it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from costing.core.labour import LabourLine
from costing.services.labour import Asked, JointLabour, behind, joint_label, labour, species_clocked
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import SheetForm

ZONE = "labour"
MAY_SEE = "costing.see_labour"
WIDTH, MIDDLE, EDGE = 160.0, 80.0, 4.0
WIDEST = math.log(4)
"""The strip goes from a quarter of the standard to four times it."""


class AskForm(SheetForm):
    """Which clockings are looked at."""

    takes_focus = False
    since = forms.DateField(
        required=False, label="From", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )
    until = forms.DateField(
        required=False, label="To", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )
    species = forms.ChoiceField(required=False)
    method = forms.ChoiceField(
        required=False, choices=[("", "either"), ("hand", "by hand"), ("machine", "by machine")]
    )

    def put_together(self) -> None:
        """Offer the species that were worked."""
        if self.workshop:
            species: Any = self.fields["species"]
            species.choices = [("", "every species"), *species_clocked(self.workshop)]

    def asked(self) -> Asked:
        """What the service is asked; a field that is wrong asks for nothing."""
        self.is_valid()
        return Asked(**{name: value for name, value in self.cleaned_data.items() if value})


@dataclass(frozen=True, slots=True)
class Strip:
    """Taken over standard as a drawing: the standard in the middle, the interval about the ratio."""

    at: float
    low: float | None
    high: float | None


def strip_of(line: LabourLine) -> Strip:
    """The strip of a line, on a scale of ratios."""
    low, high = (None if end is None else place_of(end) for end in (line.low, line.high))
    return Strip(at=place_of(line.ratio), low=low, high=high)


def place_of(ratio: float) -> float:
    """Where a ratio stands on the strip; what lies beyond its ends stands at them."""
    share = max(-1.0, min(1.0, math.log(ratio) / WIDEST))
    return round(MIDDLE + share * (MIDDLE - EDGE), 1)


@require_safe
@needs(MAY_SEE, zone=ZONE)
def labour_page(request: WorkshopRequest) -> HttpResponse:
    """Every joint type with its operations."""
    form = AskForm(request.GET or None, workshop=request.workshop)
    found = labour(request.workshop, form.asked() if form.is_bound else None)
    return render(
        request,
        "costing/labour.html",
        {
            "form": form,
            "joints": [(joint, drawn(joint)) for joint in found],
            "standard_min": sum(joint.standard_min for joint in found),
            "taken_min": sum(joint.taken_min for joint in found),
            "clockings": sum(joint.clockings for joint in found),
            "is_filtered": form.is_bound and bool(form.has_changed()),
            "today": timezone.localdate(),
        },
    )


def drawn(joint: JointLabour) -> list[dict[str, Any]]:
    """The operations of a joint type with their strips."""
    return [
        {"name": one.name, "line": one.line, "strip": strip_of(one.line)}
        for one in joint.operations
    ]


@require_safe
@needs(MAY_SEE, zone=ZONE)
def labour_behind(request: WorkshopRequest) -> HttpResponse:
    """The clockings behind one line; who clocked is told only to those who see the time book."""
    joint, operation = request.GET.get("joint", ""), request.GET.get("operation", "")
    form = AskForm(request.GET, workshop=request.workshop)
    stretches = behind(request.workshop, joint, operation, form.asked())
    return render(
        request,
        "costing/labour_behind.html",
        {
            "joint": joint_label(joint),
            "operation": stretches[0].operation.rpartition(", ")[0] if stretches else operation,
            "stretches": stretches,
            "total": sum(stretch.minutes for stretch in stretches),
            "pieces": sum(stretch.pieces for stretch in stretches),
            "today": timezone.localdate(),
        },
    )
