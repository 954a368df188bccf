"""Adding, changing, removing and copying assemblies."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.db.models import Max

from orders.core.errors import RuleBroken
from orders.models import Assembly, Commission, Joint, Part

from .copying import copy_assemblies
from .holding import fresh, hold_open
from .reading import Reader
from .tree import family

DEEPEST = 12
"""Assemblies within assemblies; deeper than any piece of joinery."""

FIELDS = ("name", "quantity", "parent")


@transaction.atomic
def add_assembly(
    commission: Commission, *, name: str, quantity: int = 1, parent: Assembly | None = None
) -> Assembly:
    """Add an assembly at the end of its parent, or of the commission.

    Raises NotNow if the breakdown is frozen, RuleBroken or RulesBroken for values.
    """
    commission = hold_open(commission.pk)
    assembly = Assembly(commission=commission)
    _write(assembly, {"name": name, "quantity": quantity, "parent": parent})
    assembly.position = _next_position(commission, parent)
    assembly.save()
    return assembly


@transaction.atomic
def change_assembly(assembly: Assembly, *, version: int | None = None, **fields: Any) -> Assembly:
    """Change name, quantity or parent.

    Raises RuleBroken on "parent" when the assemblies would stand in a circle.
    """
    if unknown := set(fields) - set(FIELDS):
        raise TypeError(f"An assembly has no {', '.join(sorted(unknown))}.")
    commission = hold_open(assembly.commission_id)
    assembly = fresh(assembly, version)
    moved = "parent" in fields and _key(fields["parent"]) != assembly.parent_id
    stands = {field: getattr(assembly, field) for field in FIELDS}
    _write(assembly, {**stands, **fields})
    if moved:
        assembly.position = _next_position(commission, assembly.parent)
    assembly.save_next()
    return assembly


@transaction.atomic
def remove_assembly(assembly: Assembly, *, version: int | None = None) -> None:
    """Remove an assembly with its parts, joints, extras and all below it."""
    hold_open(assembly.commission_id)
    assembly = fresh(assembly, version)
    gone = [member.pk for member in family(assembly)]
    Joint.objects.filter(assembly__in=gone).delete()
    Part.objects.filter(assembly__in=gone).delete()
    assembly.delete()


@transaction.atomic
def duplicate_assembly(assembly: Assembly, *, name: str = "") -> Assembly:
    """A copy beside the assembly, with parts, joints, extras and all below it."""
    commission = hold_open(assembly.commission_id)
    assembly = fresh(assembly)
    reader = Reader()
    name = reader.text("name", name or f"{assembly.name[:113]} (copy)", "the name", most=120)
    reader.settle()
    copy = copy_assemblies(family(assembly), commission)[assembly.pk]
    copy.name = name
    copy.position = _next_position(commission, assembly.parent)
    copy.save(update_fields=["name", "position"])
    return copy


def read_assembly(reader: Reader, *, name: str, quantity: int) -> dict[str, Any]:
    """Name and quantity as they will be stored; faults stay with the reader."""
    return {
        "name": reader.text("name", name, "a name", most=120, needed=True),
        "quantity": reader.whole("quantity", quantity, "a quantity"),
    }


def _write(assembly: Assembly, fields: dict[str, Any]) -> None:
    reader = Reader()
    for field, value in read_assembly(
        reader, name=fields["name"], quantity=fields["quantity"]
    ).items():
        setattr(assembly, field, value)
    with reader.keeping():
        _require_parent(assembly, fields["parent"])
    reader.settle()
    assembly.parent = fields["parent"]


def _require_parent(assembly: Assembly, parent: Assembly | None) -> None:
    """Refuse a parent elsewhere, below the assembly itself, or too deep."""
    if parent is None:
        return
    above: dict[int, int | None] = dict(
        assembly.commission.assemblies.values_list("pk", "parent_id")
    )
    if parent.pk not in above:
        raise RuleBroken("parent", "Choose a parent among the assemblies of this commission.")
    line: list[int] = []
    step: int | None = parent.pk
    while step is not None and step not in line:
        line.append(step)
        step = above[step]
    if assembly.pk in line:
        raise RuleBroken(
            "parent", f"{parent.name} is part of {assembly.name}; choose another parent."
        )
    if len(line) + _height(assembly, above) > DEEPEST:
        raise RuleBroken("parent", f"Assemblies may stand {DEEPEST} deep; choose another parent.")


def _height(assembly: Assembly, above: dict[int, int | None]) -> int:
    """How many levels the assembly itself takes, at least one."""
    level, height = {assembly.pk}, 0
    while level and assembly.pk:
        level, height = {pk for pk, parent in above.items() if parent in level}, height + 1
    return max(1, height)


def _next_position(commission: Commission, parent: Assembly | None) -> int:
    siblings = commission.assemblies.filter(parent=parent)
    return int(siblings.aggregate(last=Max("position"))["last"] or 0) + 1


def _key(assembly: Assembly | None) -> int | None:
    return assembly.pk if assembly else None
