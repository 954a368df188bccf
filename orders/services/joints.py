"""Adding, changing and removing joints, and what the joint book says of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction

from orders.core.book import JointStudy, joint_type, study
from orders.models import Assembly, Joint, Part

from .fitting import carries, fit, jig_of, own_dimensions
from .holding import fresh, hold_open
from .marks import Marks
from .reading import Reader

FIELDS = (
    "type",
    "part_a",
    "part_b",
    "count",
    "method",
    "name",
    "mark",
    "dimensions",
    "fixings",
    "jig",
)


@transaction.atomic
def add_joint(
    assembly: Assembly,
    *,
    type: str,
    part_a: Part,
    part_b: Part,
    count: int = 1,
    method: str = "machine",
    name: str = "",
    mark: str = "",
    dimensions: Mapping[str, Any] | None = None,
    fixings: Sequence[Mapping[str, Any]] = (),
    jig: str = "",
) -> Joint:
    """Join two parts of an assembly; without a mark the joint gets the next one.

    Raises NotNow if the breakdown is frozen, RuleBroken or RulesBroken for values; a dimension is
    named as "dimensions/tenon_length_mm".
    """
    hold_open(assembly.commission_id)
    assembly = fresh(assembly)
    reader = Reader()
    read = read_joint(
        reader,
        assembly,
        Marks("J", marks_of(assembly)),
        type=type,
        part_a=part_a,
        part_b=part_b,
        count=count,
        method=method,
        name=name,
        mark=mark,
        dimensions=dimensions,
        fixings=fixings,
        jig=jig,
    )
    reader.settle()
    joint: Joint = Joint.objects.create(assembly=assembly, **read)
    return joint


@transaction.atomic
def change_joint(joint: Joint, *, version: int | None = None, **fields: Any) -> Joint:
    """Change the fields given, named as in `add_joint`."""
    if unknown := set(fields) - set(FIELDS):
        raise TypeError(f"A joint has no {', '.join(sorted(unknown))}.")
    hold_open(joint.assembly.commission_id)
    joint = fresh(joint, version)
    reader = Reader()
    stands = {field: getattr(joint, field) for field in FIELDS}
    others = Marks("J", set(marks_of(joint.assembly)) - {joint.mark})
    read = read_joint(reader, joint.assembly, others, **{**stands, **fields})
    reader.settle()
    for field, value in read.items():
        setattr(joint, field, value)
    joint.save_next()
    return joint


@transaction.atomic
def remove_joint(joint: Joint, *, version: int | None = None) -> None:
    """Remove a joint; its parts stay."""
    hold_open(joint.assembly.commission_id)
    fresh(joint, version).delete()


def study_of(joint: Joint) -> JointStudy:
    """Everything the joint book says of a joint.

    Raises RuleBroken when the joint breaks its rules.
    """
    return study(fit(joint.type, joint.part_a, joint.part_b, joint.dimensions))


def marks_of(assembly: Assembly) -> list[str]:
    """The marks of the joints of an assembly."""
    return list(assembly.joints.values_list("mark", flat=True))


def read_joint(reader: Reader, assembly: Assembly, marks: Marks, **fields: Any) -> dict[str, Any]:
    """The fields of a joint as they will be stored; faults stay with the reader."""
    before = len(reader.faults)
    read: dict[str, Any] = {
        "type": str(fields["type"] or ""),
        "part_a": _part(reader, "part_a", fields["part_a"], assembly),
        "part_b": _part(reader, "part_b", fields["part_b"], assembly),
        "count": reader.whole("count", fields["count"], "a count"),
        "method": reader.choice("method", fields["method"], Joint.Method, "the method").value,
        "name": reader.text("name", fields["name"], "the name", most=120),
        "mark": marks.take(reader, fields["mark"]),
        "dimensions": {},
        "fixings": [dict(one) for one in fields.get("fixings") or ()],
        "jig": str(fields.get("jig") or ""),
    }
    if read["part_a"] and read["part_a"] == read["part_b"]:
        reader.refuse("part_b", "A part cannot be joined to itself; choose another part.")
    with reader.keeping():
        joint_type(read["type"])
    with reader.keeping():
        read["dimensions"] = own_dimensions(fields["dimensions"])
    with reader.keeping():
        jig_of(read["jig"])
    if len(reader.faults) == before:
        with reader.keeping():
            joint = fit(read["type"], read["part_a"], read["part_b"], read["dimensions"])
            carries(study(joint), read["fixings"])
    return read


def _part(reader: Reader, field: str, part: Part | None, assembly: Assembly) -> Part | None:
    """The part as it stands, if it is one of this assembly."""
    side = "receives" if field == "part_a" else "enters"
    if part is None:
        reader.refuse(field, f"Choose the part that {side}.")
        return None
    if part.assembly_id != assembly.pk:
        reader.refuse(field, f"Choose the part that {side} among the parts of {assembly.name}.")
        return None
    return part
