"""Moves of a commission from stage to stage: what each does, who may make it, and its page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from orders.core.errors import WorkshopError
from orders.core.stages import LABELS, MOVES, PATH, Stage
from orders.models import Commission
from orders.services.commissions import move
from orders.services.release import release

from .access import WorkshopRequest, needs
from .forms import SheetForm, faults_in, posted
from .found import commission_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One move: what its button says, what it does, and which permission it takes."""

    to: Stage
    verb: str
    does: tuple[str, ...]
    permission: str = "orders.edit_commissions"


VERBS: Mapping[Stage, Move] = {
    Stage.ENQUIRY: Move(
        to=Stage.ENQUIRY,
        verb="Take up again",
        does=("It counts as an open enquiry again, with the breakdown it has.",),
    ),
    Stage.QUOTED: Move(
        to=Stage.QUOTED,
        verb="Mark as quoted",
        does=(
            "It counts as quoted and waits for the client's answer.",
            "Its breakdown may still change; a quote that was issued does not change with it.",
        ),
    ),
    Stage.ACCEPTED: Move(
        to=Stage.ACCEPTED,
        verb="Mark as accepted",
        does=(
            "The client said yes: the commission is an order.",
            "Its breakdown may still change until it is released to the bench.",
        ),
    ),
    Stage.IN_WORK: Move(
        to=Stage.IN_WORK,
        verb="Release to the bench",
        does=(
            "Its breakdown is frozen, with the standard times in force today.",
            "Its operations go to the wall chart, the day sheets and the bench.",
            "To change it afterwards, duplicate the commission.",
        ),
        permission="orders.release_commissions",
    ),
    Stage.DELIVERED: Move(
        to=Stage.DELIVERED,
        verb="Mark as delivered",
        does=("The work has left the shop; nothing of it is planned any more.",),
        permission="orders.release_commissions",
    ),
    Stage.CLOSED: Move(
        to=Stage.CLOSED,
        verb="Close the commission",
        does=("It leaves the open list. A closed commission stays closed; its papers remain.",),
    ),
    Stage.DECLINED: Move(
        to=Stage.DECLINED,
        verb="Mark as declined",
        does=("It leaves the open list. It can be taken up again as an enquiry.",),
    ),
}


class NoteForm(SheetForm):
    """A word on why."""

    takes_focus = False
    note = forms.CharField(max_length=200, required=False)


def moves_open_to(commission: Commission, user: Any) -> list[Move]:
    """The moves this person may make now, the usual one first."""
    return [
        VERBS[stage]
        for stage in MOVES[Stage(commission.stage)]
        if user.has_perm(VERBS[stage].permission)
    ]


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.see_commissions", zone="commissions")
def commission_move(request: WorkshopRequest, pk: int, stage: str) -> HttpResponse:
    """Say what a move does, and make it when it is confirmed."""
    commission = commission_of(request, pk)
    step = VERBS.get(stage)  # type: ignore[call-overload]
    if step is None:
        raise Http404(f"There is no stage {stage}.")
    if not request.user.has_perm(step.permission):
        raise PermissionDenied
    form = NoteForm(posted(request), workshop=request.workshop)
    if request.method == "POST" and form.is_valid():
        with faults_in(form):
            make(commission, step.to, by=request.user, note=form.cleaned_data["note"])
            messages.success(request, f"{commission.mark} is {LABELS[step.to].lower()}.")
            return redirect(commission)
    return render(
        request,
        "orders/move.html",
        {
            "commission": commission,
            "move": step,
            "form": form,
            "refusal": "" if form.is_bound else refusal(commission, step.to),
            "steps": steps_of(commission),
        },
    )


def make(commission: Commission, to: Stage, *, by: Any, note: str) -> None:
    """Make a move; the one to the bench releases the commission."""
    if to is Stage.IN_WORK and commission.stage == Stage.ACCEPTED:
        release(commission, by=by)
    else:
        move(commission, to, by=by, note=note)


def refusal(commission: Commission, to: Stage) -> str:
    """Why the move cannot be made, or nothing."""
    try:
        commission.require_move(to)
    except WorkshopError as error:
        return error.message
    return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One tick of a commission's line of stages."""

    label: str
    state: str
    at: datetime | None = None


def steps_of(commission: Commission) -> list[Step]:
    """The stages passed, the one it is in, and those to come, with the days it reached them."""
    here = Stage(commission.stage)
    days: dict[Stage, datetime] = {Stage.ENQUIRY: commission.created_at}
    days.update({Stage(one.to_stage): one.at for one in commission.moves.all()})
    path = list(PATH)
    if here is Stage.DECLINED:
        path = [stage for stage in PATH if stage in days] + [Stage.DECLINED]
    place = path.index(here)
    return [
        Step(
            label=LABELS[stage],
            state="passed" if index < place else "here" if index == place else "to-come",
            at=days.get(stage) if index <= place else None,
        )
        for index, stage in enumerate(path)
    ]
