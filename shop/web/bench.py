"""The bench: one operation, three buttons, what comes next. No money, no menu."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.safestring import SafeString
from django.views.decorators.http import require_POST, require_safe

from orders.core import drawing
from orders.core.errors import WorkshopError
from orders.core.figures import cautions
from orders.core.solids import View
from orders.models import Joint, Operation
from orders.services.joints import study_of
from orders.web.access import WorkshopRequest, needs
from orders.web.drawings import drawn, isometric
from orders.web.formats import unit_of
from shop.models import Clocking, Hand
from shop.services import clocking
from shop.services.bench import BenchView, BenchWork, RunningWork, bench
from shop.services.problem import Underway
from shop.services.waiting import waits_of

from .gauge import Gauge

ASK_AGAIN = "0"


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """The drawings of a joint for the bench."""

    apart: SafeString
    front: SafeString
    above: SafeString


class PiecesForm(forms.Form):
    """Pieces finished in this stretch, and which clocking is meant."""

    pieces = forms.IntegerField(min_value=0, max_value=1_000_000, required=False)
    key = forms.UUIDField()


@require_safe
@needs("shop.clock", zone="bench")
def bench_page(request: WorkshopRequest) -> HttpResponse:
    """What the hand is doing, or what comes first."""
    hand = hand_at(request)
    if hand is None:
        return pick_hand(request)
    view = bench(hand, timezone.now())
    looked_at = request.GET.get("look", "")
    if looked_at.isdecimal():
        return draw(request, view, work_on(request, view, int(looked_at[:18])))
    first = next(iter([*view.paused, *(work for work in view.next if work.may_start)]), None)
    return draw(request, view, view.running.work if view.running else first)


@require_safe
@needs("shop.clock", zone="bench")
def clock_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One operation at the bench: where the code on the job sheet leads."""
    operation_of(request, pk)
    hand = hand_at(request)
    if hand is None:
        return pick_hand(request)
    view = bench(hand, timezone.now())
    return draw(request, view, work_on(request, view, pk))


@require_POST
@needs("shop.clock", zone="bench")
def start_work(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Begin an operation; the form's key makes a double press one clocking."""
    operation = operation_of(request, pk)
    hand = hand_at(request)
    if hand is None:
        return pick_hand(request)
    form = PiecesForm(request.POST)
    key = form.cleaned_data.get("key") if form.is_valid() else None
    try:
        clocking.start(operation, hand, at=timezone.now(), key=key or uuid4(), by=request.user)
    except WorkshopError as error:
        messages.error(request, error.message)
        return to_bench(request, hand, look=operation.pk)
    return to_bench(request, hand)


@require_POST
@needs("shop.clock", zone="bench")
def pause_work(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Stop for now; pieces that were counted are kept."""
    return end_work(request, pk, is_done=False)


@require_POST
@needs("shop.clock", zone="bench")
def finish_work(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Done: with all its pieces unless fewer were counted."""
    return end_work(request, pk, is_done=True)


def end_work(request: WorkshopRequest, pk: int, *, is_done: bool) -> HttpResponse:
    """Pause or finish. A second press finds the clocking ended, and that is well."""
    operation = operation_of(request, pk)
    hand = hand_at(request)
    if hand is None:
        return pick_hand(request)
    form = PiecesForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Give the pieces done as a whole number, or leave it empty.")
        return to_bench(request, hand)
    known = Clocking.objects.of(request.workshop).filter(hand=hand, key=form.cleaned_data["key"])
    if known.filter(ended_at__isnull=False).exists():
        return to_bench(request, hand)
    pieces = form.cleaned_data["pieces"]
    if pieces is None:
        pieces = operation.pieces - operation.pieces_done if is_done else 0
    try:
        clocking.finish(operation, hand, at=timezone.now(), pieces=pieces)
    except WorkshopError as error:
        messages.error(request, error.message)
    else:
        tell_end(request, operation)
    return to_bench(request, hand)


def tell_end(request: WorkshopRequest, operation: Operation) -> None:
    """Say what was kept."""
    operation.refresh_from_db()
    if operation.state == Operation.State.DONE:
        messages.success(request, f"“{operation.name}” is done.")
    else:
        count = f"{operation.pieces_done} of {operation.pieces} pieces are done."
        messages.info(request, f"“{operation.name}” is paused; {count}")


def hand_at(request: WorkshopRequest) -> Hand | None:
    """Whose bench it is: the person's own, or for a foreman the one that was picked."""
    hands = Hand.objects.of(request.workshop).select_related("workshop").prefetch_related("skills")
    own = hands.filter(membership=request.membership).first()
    picked = request.POST.get("hand") or request.GET.get("hand", "")
    if not picked.isdecimal() or (own and own.pk == int(picked[:18])):
        return own
    if picked == ASK_AGAIN and may_pick(request):
        return None
    if not may_pick(request):
        get_object_or_404(hands, pk=int(picked[:18]))
        raise PermissionDenied
    hand: Hand = get_object_or_404(hands, pk=int(picked[:18]))
    return hand


def may_pick(request: WorkshopRequest) -> bool:
    """Whether the person may clock for others."""
    return request.user.has_perm("shop.correct_clockings")


def pick_hand(request: WorkshopRequest) -> HttpResponse:
    """A foreman says whose bench; a person who is no hand learns what to do."""
    hands = Hand.objects.of(request.workshop).filter(is_in_use=True) if may_pick(request) else []
    running: dict[int, list[Clocking]] = {}
    rows_of = Clocking.objects.of(request.workshop).running().order_by("started_at", "pk")
    for row in rows_of.select_related("operation__commission"):
        running.setdefault(row.hand_id, []).append(row)
    rows = [(hand, running.get(hand.pk, [])) for hand in hands]
    return render(request, "shop/pick_hand.html", {"rows": rows, "may_pick": may_pick(request)})


def operation_of(request: WorkshopRequest, pk: int) -> Operation:
    """The operation, if this workshop has it."""
    operations = Operation.objects.of(request.workshop)
    found: Operation = get_object_or_404(
        operations.select_related("commission__workshop", "assembly", "joint"), pk=pk
    )
    return found


def work_on(request: WorkshopRequest, view: BenchView, pk: int) -> BenchWork:
    """Any operation as the bench shows it, whether or not it is this hand's turn."""
    listed = [*view.paused, *view.next, *(one.work for one in view.doing)]
    for work in listed:
        if work.operation.pk == pk:
            return work
    operation = operation_of(request, pk)
    used = Underway.of(operation.clockings.order_by("started_at"), view.at)
    zone = ZoneInfo(request.workshop.time_zone)
    waits = () if operation.pieces_done else waits_of(operation, view.at)
    return BenchWork(
        operation=operation,
        pieces_left=operation.pieces - operation.pieces_done,
        standard_min=operation.minutes,
        used_min=used.used_min,
        rest_min=used.rest_min(operation),
        waits=tuple(wait.words(zone) for wait in waits),
    )


def draw(request: WorkshopRequest, view: BenchView, work: BenchWork | None) -> HttpResponse:
    """The bench with one operation in hand."""
    doing = next((one for one in view.doing if work and one.work.operation == work.operation), None)
    is_running = doing is not None
    page: dict[str, Any] = {
        "view": view,
        "hand": view.hand,
        "work": work,
        "is_running": is_running,
        "doing": doing,
        "beside": beside(view, work, doing),
        "is_own": view.hand.membership_id == request.membership.pk,
        "may_pick": may_pick(request),
        "key": doing.clocking.key if doing else uuid4(),
        "others": [w for w in [*view.paused, *view.next] if not work or w != work][:3],
    }
    if work:
        operation = work.operation
        page |= {
            "operation": operation,
            "gauge": Gauge(
                used_min=work.used_min, standard_min=work.standard_min, is_running=is_running
            ),
            "plate": plate_for(request, operation.joint),
            "parts": [] if operation.joint else operation.assembly.parts.all(),
            "caution": cautions().get(operation.caution),
        }
    return render(request, "shop/bench.html", page)


def beside(
    view: BenchView, work: BenchWork | None, doing: RunningWork | None
) -> list[tuple[RunningWork, bool]]:
    """What else the hand is doing, each with whether a start of the work in hand pauses it."""
    others = [one for one in view.doing if one is not doing]
    paused: list[Clocking] = []
    if work is not None and doing is None:
        paused = clocking.paused_by(work.operation, [one.clocking for one in others])
    return [(one, one.clocking in paused) for one in others]


def plate_for(request: WorkshopRequest, joint: Joint | None) -> Plate | None:
    """The drawings of the joint that the operation makes."""
    if joint is None:
        return None
    try:
        study = study_of(joint)
    except WorkshopError:
        return None
    members = study.geometry.members
    parts = (joint.part_a, joint.part_b)
    names = {m.key: f"{p.mark} {p.name}" for m, p in zip(members, parts, strict=False)}
    unit = unit_of(request.workshop)
    return Plate(
        apart=isometric(study, names),
        front=drawn(drawing.view(study.geometry, View.FRONT, unit, ident="view-front")),
        above=drawn(drawing.view(study.geometry, View.TOP, unit, ident="view-top")),
    )


def to_bench(request: WorkshopRequest, hand: Hand, *, look: int | None = None) -> HttpResponse:
    """Back to the bench, the picked hand and the operation looked at kept."""
    query: dict[str, int] = {}
    if hand.membership_id != request.membership.pk:
        query["hand"] = hand.pk
    if look is not None:
        query["look"] = look
    return redirect(reverse("bench") + (f"?{urlencode(query)}" if query else ""))
