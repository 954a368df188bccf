"""The workspace of a commission: its tree, what is selected in it, its minutes and its next step."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.safestring import SafeString
from django.views.decorators.http import require_safe

from orders.core import drawing
from orders.core.errors import WorkshopError
from orders.core.exposure import Exposure, lowest_class
from orders.core.species import species
from orders.core.stages import Stage
from orders.models import Assembly, Commission, Joint, Part
from orders.services.fitting import fixings_of
from orders.services.joints import study_of
from orders.services.standing import standing

from .access import WorkshopRequest, needs
from .drawings import Plate, drawn, plate_of, small_isometric
from .formats import unit_of
from .found import assembly_of, commission_of, joint_of, part_of
from .minutes import minutes_of
from .moves import Move, moves_open_to, steps_of
from .tree import Node, every_node, tree_of

ZONE = "commissions"
MOST_DRAWN = 6
MAY_SEE = "orders.see_commissions"


@require_safe
@needs(MAY_SEE, zone=ZONE)
def commission_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """A commission as a whole."""
    commission = commission_of(request, pk)
    return sheet_of(request, commission, "orders/about_commission.html", {})


@require_safe
@needs(MAY_SEE, zone=ZONE)
def assembly_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One assembly in its commission."""
    assembly = assembly_of(request, pk)
    shown: dict[str, Any] = {"assembly": assembly}
    if pieces := standing(assembly):
        unit = unit_of(request.workshop)
        picture = drawing.assembly(pieces, ident="standing", title=assembly.name, unit=unit)
        shown["standing"] = drawn(picture)
    return sheet_of(request, assembly.commission, "orders/about_assembly.html", shown)


@require_safe
@needs(MAY_SEE, zone=ZONE)
def part_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One part in its commission, with the first joint it takes part in."""
    part = part_of(request, pk)
    commission = part.assembly.commission
    joints = [
        joint
        for joint in part.assembly.joints.select_related("part_a", "part_b")
        if part.pk in (joint.part_a_id, joint.part_b_id)
    ]
    shown = {"part": part, "assembly": part.assembly, "part_joints": joints}
    if joints:
        shown |= plate_for(request, joints[0], commission)
    return sheet_of(request, commission, "orders/about_part.html", shown)


@require_safe
@needs(MAY_SEE, zone=ZONE)
def joint_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One joint in its commission: its drawings and all that follows from them."""
    joint = joint_of(request, pk)
    commission = joint.assembly.commission
    shown = {"joint": joint, "assembly": joint.assembly}
    shown |= plate_for(request, joint, commission)
    return sheet_of(request, commission, "orders/about_joint.html", shown)


def plate_for(request: HttpRequest, joint: Joint, commission: Commission) -> dict[str, Any]:
    """The plate of a joint, or the sentence that says why it cannot be drawn."""
    names = {"a": label_of(joint.part_a), "b": label_of(joint.part_b)}
    try:
        study = study_of(joint)
        woods = species(joint.part_a.species), species(joint.part_b.species)
        fixings = fixings_of(joint.fixings)
    except WorkshopError as fault:
        return {"fault": fault.message}
    plate: Plate = plate_of(
        study,
        unit_of(commission.workshop),
        names=names,
        exposure=commission.exposure,
        woods=woods,
        fixings=fixings,
    )
    return {"plate": plate}


def label_of(part: Part) -> str:
    """A part on a drawing."""
    return f"{part.mark} {part.name}"


def sheet_of(
    request: WorkshopRequest, commission: Commission, about: str, shown: dict[str, Any]
) -> HttpResponse:
    """The whole sheet: what is selected stands between the tree and the minutes."""
    commission.workshop = request.workshop
    selected: Assembly | None = shown.get("assembly")
    roots = tree_of(commission, selected)
    nodes = every_node(roots)
    here = next((node for node in nodes if selected and node.assembly.pk == selected.pk), None)
    moves = moves_open_to(commission, request.user)
    return render(
        request,
        "orders/workspace.html",
        {
            "commission": commission,
            "about": about,
            "today": timezone.localdate(),
            "roots": roots,
            "nodes": nodes,
            "here": here,
            "steps": steps_of(commission),
            "first_move": usual_move(commission, moves, nodes),
            "other_moves": moves,
            "may_edit": request.user.has_perm("orders.edit_commissions")
            and not commission.is_frozen,
            "exposure": Exposure(commission.exposure),
            "glue_class": commission.glue_class or lowest_class(commission.exposure).value,
            "drawings": small_drawings([here] if here else nodes) if "plate" not in shown else [],
            "pieces": shown["part"].quantity * here.multiple if "part" in shown and here else 0,
            "minutes": minutes_of(commission, assembly=selected, joint=shown.get("joint")),
            **shown,
        },
    )


def small_drawings(nodes: list[Node]) -> list[tuple[Joint, SafeString]]:
    """The first joints of some assemblies, each drawn small; one that breaks its rules is not."""
    drawings = []
    for joint in (joint for node in nodes for joint in node.joints):
        try:
            drawings.append((joint, small_isometric(study_of(joint), f"iso-{joint.pk}")))
        except WorkshopError:
            continue
        if len(drawings) == MOST_DRAWN:
            break
    return drawings


def usual_move(commission: Commission, moves: list[Move], nodes: list[Node]) -> Move | None:
    """The move to offer first: none while there is nothing to quote, or work is left to do."""
    if not moves or not nodes:
        return None
    if commission.stage == Stage.IN_WORK and commission.operations.open().exists():
        return None
    return moves[0]
