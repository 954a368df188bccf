"""The parts of the look on one page, shown while developing only: documentation that runs."""

from __future__ import annotations

from datetime import timedelta
from types import SimpleNamespace

from django import forms
from django.conf import settings
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from orders.core.book import joint_types, study
from orders.core.stages import PATH, Stage

from .access import SIGNED_IN, WorkshopRequest, needs
from .drawings import plate_of
from .formats import unit_of
from .forms import LengthField, SheetForm

SIGNS = (
    ("running", "running"),
    ("paused", "paused"),
    ("done", "done"),
    ("ready", "ready"),
    ("waiting", "waits"),
    ("unsent", "not sent"),
    ("care", "take care"),
    ("stopped", "stopped"),
)


class SampleForm(SheetForm):
    """One of each kind of field."""

    takes_focus = False
    title = forms.CharField(max_length=40, help_text="As it stands on the papers.")
    width_mm = LengthField(label="Width")
    length_mm = LengthField(label="Length", required=False)
    grain = forms.ChoiceField(choices=[("length", "along the length"), ("width", "across")])
    method = forms.ChoiceField(
        choices=[("hand", "by hand"), ("machine", "by machine")],
        widget=forms.RadioSelect,
        initial="machine",
    )
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 2}))


@require_safe
@needs(SIGNED_IN)
def components(request: WorkshopRequest) -> HttpResponse:
    """Every component, right and wrong."""
    if not settings.DEBUG:
        raise Http404
    wrong = SampleForm(
        {"title": "", "width_mm": "1,200", "length_mm": "900", "grain": "length", "method": "hand"},
        workshop=request.workshop,
        prefix="wrong",
    )
    wrong.data = {f"wrong-{name}": value for name, value in wrong.data.items()}
    kind = joint_types()["mortise-tenon"]
    today = timezone.now()
    return render(
        request,
        "components/all.html",
        {
            "form": SampleForm(workshop=request.workshop, initial={"width_mm": 70}),
            "wrong": wrong,
            "signs": SIGNS,
            "stages": list(Stage),
            "steps": [
                SimpleNamespace(
                    label=stage.value.replace("-", " ").capitalize(),
                    state=("passed", "passed", "passed", "here", "to-come", "to-come")[index],
                    at=today + timedelta(days=7 * index - 21) if index < 4 else None,
                )
                for index, stage in enumerate(PATH)
            ],
            "plate": plate_of(study(kind.fitted(*kind.example)), unit_of(request.workshop)),
        },
    )
