"""Adding, changing and removing work that belongs to no joint."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from orders.services import extras, standards

from .access import WorkshopRequest, needs
from .entry_forms import ExtraForm
from .forms import faults_in, posted
from .found import assembly_of, attempted, extra_of, refused

ZONE = "commissions"


def operation_choices(request: WorkshopRequest) -> list[tuple[str, str]]:
    """The operations of the standard times in force."""
    known = extras.operations_of(standards.current_times(request.workshop))
    return [(code, step.label) for code, step in known.items()]


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def extra_add(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Add an operation to an assembly."""
    assembly = assembly_of(request, pk)
    if back := refused(request, assembly.commission):
        return back
    usual = extras.usual_extras(assembly)
    form = ExtraForm(
        posted(request),
        workshop=request.workshop,
        operations=operation_choices(request),
        initial={"operation": usual[0].code if usual else ""},
    )
    if form.is_valid():
        with faults_in(form):
            extra = extras.add_extra(assembly, **form.values())
            messages.success(request, f"{extra} is added.")
            if request.POST.get("then") == "again":
                return redirect("extra-add", pk=assembly.pk)
            return redirect("assembly", pk=assembly.pk)
    return render(
        request,
        "orders/extra_form.html",
        {
            "form": form,
            "assembly": assembly,
            "commission": assembly.commission,
            "usual": usual,
            "so_far": assembly.extras.all(),
        },
    )


@require_POST
@needs("orders.edit_commissions", zone=ZONE)
def extras_usual(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Add what nearly every assembly needs and this one has not."""
    assembly = assembly_of(request, pk)
    added = [
        step.label
        for step in extras.usual_extras(assembly)
        if attempted(request, extras.add_extra, assembly, operation=step.code)
    ]
    if added:
        messages.success(request, f"Added: {', '.join(added).lower()}.")
    return redirect("assembly", pk=assembly.pk)


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def extra_change(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Change an operation that belongs to no joint."""
    extra = extra_of(request, pk)
    if back := refused(request, extra.assembly.commission):
        return back
    form = ExtraForm(
        posted(request),
        workshop=request.workshop,
        row=extra,
        operations=operation_choices(request),
    )
    if form.is_valid():
        with faults_in(form):
            changed = extras.change_extra(extra, version=form.version, **form.values())
            messages.success(request, f"{changed} is changed.")
            return redirect("assembly", pk=extra.assembly_id)
    return render(
        request,
        "orders/extra_form.html",
        {
            "form": form,
            "extra": extra,
            "assembly": extra.assembly,
            "commission": extra.assembly.commission,
            "so_far": extra.assembly.extras.all(),
        },
    )


@require_POST
@needs("orders.edit_commissions", zone=ZONE)
def extra_remove(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Remove an operation that belongs to no joint."""
    extra = extra_of(request, pk)
    name, assembly_id = str(extra), extra.assembly_id
    if attempted(request, extras.remove_extra, extra):
        messages.success(request, f"{name} is removed.")
    return redirect("assembly", pk=assembly_id)
