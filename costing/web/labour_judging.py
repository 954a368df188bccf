"""Clockings that look wrong and changes of working, for a person to judge."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from costing.models import ClockingJudgement, DoubtfulClocking, LabourChange
from costing.services import judging
from costing.services.labour import joint_label
from costing.services.learning import fit_of
from costing.web.labour import learning_state
from costing.web.labour_ask import MAY_JUDGE, ZONE
from orders.core.book import joint_types
from orders.core.errors import WorkshopError
from orders.services.standards import current_times
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import SheetForm, faults_in, posted

WORKS = "/"


class ChangeForm(SheetForm):
    """From which day an operation goes otherwise."""

    takes_focus = False
    work = forms.ChoiceField(label="Operation")
    joint = forms.ChoiceField(required=False, label="On")
    on = forms.DateField(label="From", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"))
    note = forms.CharField(required=False, max_length=200, label="What is new")

    def put_together(self) -> None:
        """Offer the operations of the standard times."""
        if self.workshop:
            work: Any = self.fields["work"]
            work.choices = operations_of(self.workshop)
            joint: Any = self.fields["joint"]
            labels = {code: one.label for code, one in joint_types().items()}
            ranked = sorted(labels.items(), key=lambda one: one[1])
            joint.choices = [("", "every joint type"), *ranked]

    def change(self) -> dict[str, Any]:
        """What the service takes."""
        typed = self.values()
        operation, _, method = typed.pop("work").partition(WORKS)
        return {"operation": operation, "method": method, **typed}


def operations_of(workshop: Any) -> list[tuple[str, str]]:
    """Every operation of the standard times and the way it is done, in words."""
    ways = {"hand": "by hand", "machine": "by machine", "both": "either way"}
    found = {
        f"{row.operation}{WORKS}{row.method.value}": f"{row.label}, {ways[row.method.value]}"
        for row in reversed(current_times(workshop).rows)
    }
    return sorted(found.items(), key=lambda one: one[1])


@require_http_methods(["GET", "HEAD", "POST"])
@needs(MAY_JUDGE, zone=ZONE)
def labour_judge(request: WorkshopRequest) -> HttpResponse:
    """Everything that waits for a judgement, and what was judged; a change is marked here."""
    form = ChangeForm(
        posted(request), workshop=request.workshop, initial={"on": timezone.localdate()}
    )
    if form.is_valid():
        with faults_in(form):
            judging.mark_change(
                request.workshop, by=request.user, at=timezone.now(), **form.change()
            )
            messages.success(request, "The change is marked; it is learned from now on.")
            return redirect("labour-judge")
    return render(request, "costing/labour_judge.html", {"form": form, **waiting(request)})


def waiting(request: WorkshopRequest) -> dict[str, Any]:
    """Doubts with what was said of them, judgements, and changes."""
    fit = fit_of(request.workshop)
    said = {
        (one.operation_id, one.hand_id): one
        for one in ClockingJudgement.objects.of(request.workshop).select_related(
            "operation__commission", "hand", "by"
        )
    }
    doubts = DoubtfulClocking.objects.filter(fit=fit).select_related(
        "operation__commission", "operation__joint", "hand"
    )
    changes = LabourChange.objects.of(request.workshop).select_related("by")
    labels = dict(operations_of(request.workshop))
    return {
        "fit": fit,
        "doubts": [one for one in doubts if fit and (one.operation_id, one.hand_id) not in said],
        "judged": list(said.values()),
        "changes": [
            (
                one,
                labels.get(f"{one.operation}{WORKS}{one.method}", one.operation),
                joint_label(one.joint) if one.joint else "every joint type",
            )
            for one in changes
        ],
        "today": timezone.localdate(),
        **learning_state(request),
    }


@require_POST
@needs(MAY_JUDGE, zone=ZONE)
def doubt_judge(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Say that a doubtful clocking is right, or wrong."""
    doubt = get_object_or_404(DoubtfulClocking.objects.of(request.workshop), pk=pk)
    try:
        said = judging.judge(
            doubt,
            is_sound=request.POST.get("is") == "sound",
            by=request.user,
            at=timezone.now(),
            note=request.POST.get("note", ""),
        )
    except WorkshopError as error:
        messages.error(request, error.message)
    else:
        word = "counts in full" if said.is_sound else "is not learned from any more"
        messages.success(request, f"{doubt.operation.mark} {word}. The clocking stays as it is.")
    return redirect("labour-judge")


@require_POST
@needs(MAY_JUDGE, zone=ZONE)
def change_settle(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Confirm a change, or refuse it."""
    change = get_object_or_404(LabourChange.objects.of(request.workshop), pk=pk)
    is_real = request.POST.get("is") == "real"
    judging.settle_change(change, is_real=is_real, by=request.user, at=timezone.now())
    messages.success(
        request,
        "The change is kept." if is_real else "The change is refused and not looked for again.",
    )
    return redirect("labour-judge")
