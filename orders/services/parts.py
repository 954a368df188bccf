"""Adding, changing and removing parts."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Q

from orders.core.errors import NotNow, RuleBroken
from orders.core.species import species
from orders.models import Assembly, Joint, Part
from orders.models.part import LONGEST_MM, THINNEST_MM

from .fitting import fit
from .holding import fresh, hold_open
from .marks import Marks
from .reading import Reader

FIELDS = (
    "name",
    "species",
    "length_mm",
    "width_mm",
    "thickness_mm",
    "quantity",
    "grain",
    "mark",
    "note",
)
SIZES = ("length_mm", "width_mm", "thickness_mm")


@transaction.atomic
def add_part(
    assembly: Assembly,
    *,
    name: str,
    species: str,
    length_mm: Decimal | float,
    width_mm: Decimal | float,
    thickness_mm: Decimal | float,
    quantity: int = 1,
    grain: str = "length",
    mark: str = "",
    note: str = "",
) -> Part:
    """Add a part; without a mark it gets the next one.

    Raises NotNow if the breakdown is frozen, RuleBroken or RulesBroken for values.
    """
    hold_open(assembly.commission_id)
    assembly = fresh(assembly)
    reader = Reader()
    read = read_part(
        reader,
        Marks("P", marks_of(assembly)),
        name=name,
        species=species,
        length_mm=length_mm,
        width_mm=width_mm,
        thickness_mm=thickness_mm,
        quantity=quantity,
        grain=grain,
        mark=mark,
        note=note,
    )
    reader.settle()
    part: Part = Part.objects.create(assembly=assembly, **read)
    return part


@transaction.atomic
def change_part(part: Part, *, version: int | None = None, **fields: Any) -> Part:
    """Change the fields given, named as in `add_part`.

    Raises RuleBroken beside the size when a joint of the part could no longer be made.
    """
    if unknown := set(fields) - set(FIELDS):
        raise TypeError(f"A part has no {', '.join(sorted(unknown))}.")
    hold_open(part.assembly.commission_id)
    part = fresh(part, version)
    reader = Reader()
    stands = {field: getattr(part, field) for field in FIELDS}
    others = Marks("P", set(marks_of(part.assembly)) - {part.mark})
    read = read_part(reader, others, **{**stands, **fields})
    reader.settle()
    for field, value in read.items():
        setattr(part, field, value)
    changed = [field for field in (*SIZES, "grain") if read[field] != stands[field]]
    if changed:
        _require_joints_still_fit(part, changed[0])
    part.save_next()
    return part


@transaction.atomic
def remove_part(part: Part, *, version: int | None = None) -> None:
    """Remove a part that no joint needs; raises NotNow naming the joints that do."""
    hold_open(part.assembly.commission_id)
    part = fresh(part, version)
    joints = [joint.mark for joint in _joints_of(part)]
    if joints:
        raise NotNow(f"{part.mark} is joined by {', '.join(joints)}; remove the joint first.")
    part.delete()


def marks_of(assembly: Assembly) -> list[str]:
    """The marks of the parts of an assembly."""
    return list(assembly.parts.values_list("mark", flat=True))


def read_part(reader: Reader, marks: Marks, **fields: Any) -> dict[str, Any]:
    """The fields of a part as they will be stored; faults stay with the reader."""
    read: dict[str, Any] = {
        "name": reader.text("name", fields["name"], "a name", most=120, needed=True),
        "species": reader.text("species", fields["species"], "a species", most=40, needed=True),
        "quantity": reader.whole("quantity", fields["quantity"], "a quantity"),
        "grain": reader.choice("grain", fields["grain"], Part.Grain, "the grain").value,
        "mark": marks.take(reader, fields["mark"]),
        "note": reader.text("note", fields["note"], "the note", most=200),
    }
    for field in SIZES:
        read[field] = reader.number(
            field,
            fields[field],
            f"the {field.removesuffix('_mm')}",
            least=THINNEST_MM,
            most=LONGEST_MM,
            places=3,
            unit=" mm",
            rounds=True,
        )
    if read["species"]:
        with reader.keeping():
            species(read["species"])
    return read


def _joints_of(part: Part) -> list[Joint]:
    either = Q(part_a=part) | Q(part_b=part)
    return list(Joint.objects.filter(either).select_related("part_a", "part_b").order_by("pk"))


def _require_joints_still_fit(part: Part, field: str) -> None:
    """Refuse sizes that a joint of the part could not be made in, beside the field changed."""
    for joint in _joints_of(part):
        a = part if joint.part_a_id == part.pk else joint.part_a
        b = part if joint.part_b_id == part.pk else joint.part_b
        try:
            fit(joint.type, a, b, joint.dimensions)
        except RuleBroken as fault:
            raise RuleBroken(field, f"Joint {joint} no longer fits: {fault.message}") from fault
