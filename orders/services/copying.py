"""Copying assemblies with all that is in them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from orders.models import Assembly, Commission, ExtraWork, Joint, Part

from .tree import parents_first


def copy_assemblies(assemblies: Iterable[Assembly], commission: Commission) -> dict[int, Assembly]:
    """Copies of whole assemblies in `commission`, by the key of the original.

    A parent that is not among them stays the parent of the copy.
    """
    copies: dict[int, Assembly] = {}
    for original in parents_first(assemblies):
        parent = copies.get(original.parent_id or 0)
        copies[original.pk] = Assembly.objects.create(
            commission=commission,
            parent_id=parent.pk if parent else original.parent_id,
            name=original.name,
            quantity=original.quantity,
            position=original.position,
            pieces=list(original.pieces),
        )
    parts = _copy_parts(copies)
    _copy_joints(copies, parts)
    ExtraWork.objects.bulk_create(
        ExtraWork(
            assembly=copies[extra.assembly_id],
            operation=extra.operation,
            name=extra.name,
            minutes=extra.minutes,
            count=extra.count,
        )
        for extra in ExtraWork.objects.filter(assembly__in=_keys(copies)).order_by("pk")
    )
    return copies


def _copy_parts(copies: dict[int, Assembly]) -> dict[int, Part]:
    originals = list(Part.objects.filter(assembly__in=_keys(copies)).order_by("pk"))
    made = Part.objects.bulk_create(
        Part(
            assembly=copies[part.assembly_id],
            mark=part.mark,
            name=part.name,
            species=part.species,
            length_mm=part.length_mm,
            width_mm=part.width_mm,
            thickness_mm=part.thickness_mm,
            quantity=part.quantity,
            grain=part.grain,
            note=part.note,
        )
        for part in originals
    )
    return {original.pk: copy for original, copy in zip(originals, made, strict=True)}


def _copy_joints(copies: dict[int, Assembly], parts: dict[int, Part]) -> None:
    Joint.objects.bulk_create(
        Joint(
            assembly=copies[joint.assembly_id],
            mark=joint.mark,
            name=joint.name,
            type=joint.type,
            part_a=parts[joint.part_a_id],
            part_b=parts[joint.part_b_id],
            count=joint.count,
            method=joint.method,
            dimensions=dict(joint.dimensions),
            fixings=list(joint.fixings),
            jig=joint.jig,
        )
        for joint in Joint.objects.filter(assembly__in=_keys(copies)).order_by("pk")
    )


def _keys(copies: dict[int, Assembly]) -> Sequence[int]:
    return list(copies)
