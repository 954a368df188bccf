"""Adding, changing, copying and removing assemblies."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from orders.services import assemblies

from .access import WorkshopRequest, needs
from .entry_forms import AssemblyForm
from .forms import faults_in, posted
from .found import assembly_of, attempted, commission_of, refused

ZONE = "commissions"


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def assembly_add(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Add an assembly to a commission."""
    commission = commission_of(request, pk)
    if back := refused(request, commission):
        return back
    siblings = commission.assemblies.all()
    form = AssemblyForm(
        posted(request),
        workshop=request.workshop,
        siblings=siblings,
        initial={"parent": request.GET.get("parent")},
    )
    if form.is_valid():
        with faults_in(form):
            added = assemblies.add_assembly(commission, **form.values())
            messages.success(request, f"{added.name} is added.")
            if request.POST.get("then") == "again":
                return redirect("assembly-add", pk=commission.pk)
            if request.POST.get("then") == "parts":
                return redirect("part-add", pk=added.pk)
            return redirect("assembly", pk=added.pk)
    return render(
        request,
        "orders/assembly_form.html",
        {"form": form, "commission": commission, "siblings": siblings},
    )


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def assembly_change(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Change an assembly."""
    assembly = assembly_of(request, pk)
    if back := refused(request, assembly.commission):
        return back
    siblings = assembly.commission.assemblies.exclude(pk=assembly.pk)
    form = AssemblyForm(posted(request), workshop=request.workshop, row=assembly, siblings=siblings)
    if form.is_valid():
        with faults_in(form):
            changed = assemblies.change_assembly(assembly, version=form.version, **form.values())
            messages.success(request, f"{changed.name} is changed.")
            return redirect("assembly", pk=changed.pk)
    return render(
        request,
        "orders/assembly_form.html",
        {"form": form, "commission": assembly.commission, "assembly": assembly},
    )


@require_POST
@needs("orders.edit_commissions", zone=ZONE)
def assembly_duplicate(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Put a copy of an assembly beside it."""
    assembly = assembly_of(request, pk)
    copy = attempted(request, assemblies.duplicate_assembly, assembly)
    if copy is None:
        return redirect("assembly", pk=assembly.pk)
    messages.success(request, f"{copy.name} holds the same parts, joints and work.")
    return redirect("assembly", pk=copy.pk)


@require_POST
@needs("orders.edit_commissions", zone=ZONE)
def assembly_remove(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Remove an assembly and all in it."""
    assembly = assembly_of(request, pk)
    name, commission = assembly.name, assembly.commission
    if attempted(request, assemblies.remove_assembly, assembly):
        messages.success(request, f"{name} is removed.")
        return redirect(commission)
    return redirect("assembly", pk=assembly.pk)
