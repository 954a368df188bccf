"""Rows by their key, within the workshop of the request; what is not there answers 404."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect

from orders.core.errors import WorkshopError
from orders.models import Assembly, Client, Commission, ExtraWork, Joint, Part

from .access import WorkshopRequest


def client_of(request: WorkshopRequest, pk: int) -> Client:
    """A client."""
    found: Client = get_object_or_404(Client.objects.of(request.workshop), pk=pk)
    return found


def commission_of(request: WorkshopRequest, pk: int) -> Commission:
    """A commission with its client."""
    rows = Commission.objects.of(request.workshop).select_related("client", "workshop")
    found: Commission = get_object_or_404(rows, pk=pk)
    return found


def assembly_of(request: WorkshopRequest, pk: int) -> Assembly:
    """An assembly with its commission."""
    rows = Assembly.objects.of(request.workshop).select_related("commission__client", "parent")
    found: Assembly = get_object_or_404(rows, pk=pk)
    return found


def part_of(request: WorkshopRequest, pk: int) -> Part:
    """A part with its commission."""
    rows = Part.objects.of(request.workshop).select_related("assembly__commission__client")
    found: Part = get_object_or_404(rows, pk=pk)
    return found


def joint_of(request: WorkshopRequest, pk: int) -> Joint:
    """A joint with its parts and its commission."""
    rows = Joint.objects.of(request.workshop).select_related(
        "assembly__commission__client", "part_a", "part_b"
    )
    found: Joint = get_object_or_404(rows, pk=pk)
    return found


def extra_of(request: WorkshopRequest, pk: int) -> ExtraWork:
    """A piece of extra work with its commission."""
    rows = ExtraWork.objects.of(request.workshop).select_related("assembly__commission__client")
    found: ExtraWork = get_object_or_404(rows, pk=pk)
    return found


def attempted(request: HttpRequest, verb: Any, *args: Any, **more: Any) -> Any:
    """What the service answers (True for nothing); a fault is told on the next page, as None."""
    try:
        answer = verb(*args, **more)
    except WorkshopError as error:
        messages.error(request, error.message)
        return None
    return True if answer is None else answer


def refused(request: HttpRequest, commission: Commission) -> HttpResponseRedirect | None:
    """The way back to a commission whose breakdown is frozen, with the sentence that says so."""
    try:
        commission.require_open()
    except WorkshopError as error:
        messages.error(request, error.message)
        return redirect(commission)
    return None
