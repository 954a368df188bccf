"""Adding, changing and removing joints, with the drawing beside the form."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from orders.core.errors import WorkshopError
from orders.models import Assembly, Joint
from orders.services import joints
from orders.services.marks import next_mark

from .access import WorkshopRequest, needs
from .drawings import Plate, plate_of
from .formats import unit_of
from .forms import add_fault, faults_in, posted
from .found import assembly_of, attempted, joint_of, refused
from .joint_form import JointForm

ZONE = "commissions"
FIRST_TYPE = "mortise-tenon"
FIXING_FIELDS = {"fixings/0": "fixing", "fixings/0/count": "fixing_count"}


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def joint_add(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Join two parts of an assembly."""
    assembly = assembly_of(request, pk)
    if back := refused(request, assembly.commission):
        return back
    so_far = list(assembly.joints.select_related("part_a", "part_b"))
    form = JointForm(
        posted(request),
        workshop=request.workshop,
        assembly=assembly,
        initial=likely(assembly, so_far, request.GET),
    )
    following = next_mark([joint.mark for joint in so_far], "J")
    form.fields["mark"].widget.attrs["placeholder"] = f"next: {following}"
    if "show" not in request.POST and form.is_valid():
        with faults_in(form, FIXING_FIELDS):
            joint = joints.add_joint(assembly, **form.values())
            messages.success(request, f"{joint} is added.")
            if request.POST.get("then") == "again":
                return redirect("joint-add", pk=assembly.pk)
            return redirect("joint", pk=joint.pk)
    return drawn_form(request, form, assembly=assembly, so_far=so_far)


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def joint_change(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Change a joint: its type, its parts, its dimensions."""
    joint = joint_of(request, pk)
    if back := refused(request, joint.assembly.commission):
        return back
    form = JointForm(posted(request), workshop=request.workshop, row=joint, assembly=joint.assembly)
    if "show" not in request.POST and form.is_valid():
        with faults_in(form, FIXING_FIELDS):
            changed = joints.change_joint(joint, version=form.version, **form.values())
            messages.success(request, f"{changed} is changed.")
            return redirect("joint", pk=changed.pk)
    return drawn_form(request, form, assembly=joint.assembly, joint=joint)


@require_POST
@needs("orders.edit_commissions", zone=ZONE)
def joint_remove(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Remove a joint; its parts stay."""
    joint = joint_of(request, pk)
    name, assembly_id = str(joint), joint.assembly_id
    if not attempted(request, joints.remove_joint, joint):
        return redirect("joint", pk=joint.pk)
    messages.success(request, f"{name} is removed.")
    return redirect("assembly", pk=assembly_id)


def drawn_form(
    request: WorkshopRequest,
    form: JointForm,
    *,
    assembly: Assembly,
    joint: Joint | None = None,
    so_far: list[Joint] | None = None,
) -> HttpResponse:
    """The form with the joint as it stands drawn beside it, or the reason why it cannot be."""
    return render(
        request,
        "orders/joint_form.html",
        {
            "form": form,
            "plate": plate_in(form, assembly.commission.exposure),
            "joint": joint,
            "assembly": assembly,
            "commission": assembly.commission,
            "so_far": so_far,
        },
    )


def plate_in(form: JointForm, exposure: str) -> Plate | None:
    """The drawing of what stands in the form; a broken rule becomes an error of its field."""
    if form.is_bound and not form.is_valid():
        return None
    try:
        study = form.study()
    except WorkshopError as fault:
        if form.is_bound:
            add_fault(form, fault)
        return None
    names = {side[-1]: str(form.chosen(side) or "") for side in ("part_a", "part_b")}
    if study is None:
        return None
    return plate_of(
        study, unit_of(form.workshop), names=names, exposure=exposure, woods=form.woods()
    )


def likely(assembly: Assembly, so_far: list[Joint], asked: Any) -> dict[str, Any]:
    """What a new joint most likely is: like the last one, at the next part that is not joined yet."""
    keys = [part.pk for part in assembly.parts.all()]
    last = so_far[-1] if so_far else None
    receives = asked.get("part_a") or (last.part_a_id if last else (keys or [None])[0])
    joined = {joint.part_b_id for joint in so_far if joint.part_a_id == receives}
    free = [key for key in keys if str(key) != str(receives) and key not in joined]
    return {
        "type": asked.get("type") or (last.type if last else FIRST_TYPE),
        "part_a": receives,
        "part_b": asked.get("part_b") or (free or [None])[0],
        "method": last.method if last else Joint.Method.MACHINE,
    }
