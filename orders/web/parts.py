"""Adding, changing and removing parts, made for typing many in a row."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from orders.models import Assembly, Part
from orders.services import parts
from orders.services.marks import next_mark

from .access import WorkshopRequest, needs
from .entry_forms import PartForm
from .forms import faults_in, posted
from .found import assembly_of, attempted, part_of, refused

ZONE = "commissions"
CARRIED = ("species", "thickness_mm", "grain")


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def part_add(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Add a part; species and thickness are carried over from the one before."""
    assembly = assembly_of(request, pk)
    if back := refused(request, assembly.commission):
        return back
    so_far = list(assembly.parts.all())
    form = PartForm(
        posted(request), workshop=request.workshop, initial=carried_over(assembly, so_far)
    )
    show_next_mark(form, so_far)
    if form.is_valid():
        with faults_in(form):
            part = parts.add_part(assembly, **form.values())
            messages.success(request, f"{part} is added.")
            if request.POST.get("then") == "again":
                return redirect("part-add", pk=assembly.pk)
            return redirect("part", pk=part.pk)
    return render(
        request,
        "orders/part_form.html",
        {
            "form": form,
            "assembly": assembly,
            "commission": assembly.commission,
            "so_far": so_far,
        },
    )


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def part_change(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Change a part."""
    part = part_of(request, pk)
    if back := refused(request, part.assembly.commission):
        return back
    form = PartForm(posted(request), workshop=request.workshop, row=part)
    if form.is_valid():
        with faults_in(form):
            changed = parts.change_part(part, version=form.version, **form.values())
            messages.success(request, f"{changed} is changed.")
            return redirect("part", pk=changed.pk)
    return render(
        request,
        "orders/part_form.html",
        {
            "form": form,
            "part": part,
            "assembly": part.assembly,
            "commission": part.assembly.commission,
            "so_far": list(part.assembly.parts.all()),
        },
    )


@require_POST
@needs("orders.edit_commissions", zone=ZONE)
def part_remove(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Remove a part that no joint needs."""
    part = part_of(request, pk)
    name, assembly = str(part), part.assembly
    if not attempted(request, parts.remove_part, part):
        return redirect("part", pk=part.pk)
    messages.success(request, f"{name} is removed.")
    return redirect("assembly", pk=assembly.pk)


def carried_over(assembly: Assembly, so_far: list[Part]) -> dict[str, Any]:
    """What a new part most likely shares with the last one typed, here or in the commission."""
    last = so_far[-1] if so_far else None
    if last is None:
        kin = Part.objects.filter(assembly__commission=assembly.commission_id)
        last = kin.order_by("-pk").first()
    return {name: getattr(last, name) for name in CARRIED} if last else {}


def show_next_mark(form: PartForm, so_far: list[Part]) -> None:
    """Say in the empty field which mark the part will get."""
    following = next_mark([part.mark for part in so_far], "P")
    form.fields["mark"].widget.attrs["placeholder"] = f"next: {following}"
