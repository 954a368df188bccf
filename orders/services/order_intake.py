"""From the assemblies of an order file to rows: every rule is kept before the first is written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from orders.core.orderfile import OrderAssembly, OrderJoint, OrderPart
from orders.core.times import OperationStep
from orders.models import Assembly, Commission, ExtraWork, Joint, Part

from .assemblies import read_assembly
from .extras import read_extra
from .joints import read_joint
from .marks import Marks
from .parts import read_part
from .reading import Reader


class Planned:
    """An assembly that keeps its rules, with rows that wait for it to be stored."""

    def __init__(self, row: Assembly, parent: Planned | None) -> None:
        self.row = row
        self.parent = parent
        self.depth: int = parent.depth + 1 if parent else 0
        self.parts: list[Part] = []
        self.joints: list[Joint] = []
        self.extras: list[ExtraWork] = []


def planned_rows(
    reader: Reader,
    assemblies: Sequence[OrderAssembly],
    known: Mapping[str, OperationStep],
    parent: Planned | None = None,
) -> Iterator[Planned]:
    """The rows of assemblies and of all within them, parents first; faults stay with the reader."""
    for place, given in enumerate(assemblies):
        under = reader.under(f"assemblies/{place}")
        fields = read_assembly(under, name=given.name, quantity=given.quantity)
        planned = Planned(Assembly(position=place + 1, **fields), parent)
        _plan_parts(under, planned, given.parts)
        _plan_joints(under, planned, given.joints)
        for number, extra in enumerate(given.extras):
            read = read_extra(
                under.under(f"extras/{number}"),
                known,
                operation=extra.operation,
                name=extra.name,
                minutes=extra.minutes,
                count=extra.count,
            )
            planned.extras.append(ExtraWork(assembly=planned.row, **read))
        yield planned
        yield from planned_rows(under, given.assemblies, known, planned)


def _plan_parts(reader: Reader, planned: Planned, parts: Sequence[OrderPart]) -> None:
    marks = Marks("P", coming=(part.mark for part in parts))
    for place, part in enumerate(parts):
        read = read_part(
            reader.under(f"parts/{place}"),
            marks,
            name=part.name,
            species=part.species,
            length_mm=part.length_mm,
            width_mm=part.width_mm,
            thickness_mm=part.thickness_mm,
            quantity=part.quantity,
            grain=part.grain,
            mark=part.mark,
            note=part.note,
        )
        planned.parts.append(Part(assembly=planned.row, **read))


def _plan_joints(reader: Reader, planned: Planned, joints: Sequence[OrderJoint]) -> None:
    by_mark = {part.mark: part for part in planned.parts}
    marks = Marks("J", coming=(joint.mark for joint in joints))
    for place, joint in enumerate(joints):
        under = reader.under(f"joints/{place}")
        if not _require_marks(under, joint, by_mark):
            continue
        read = read_joint(
            under,
            planned.row,
            marks,
            type=joint.type,
            part_a=by_mark[joint.part_a],
            part_b=by_mark[joint.part_b],
            count=joint.count,
            method=joint.method,
            name=joint.name,
            mark=joint.mark,
            dimensions=joint.dimensions,
            fixings=[{"fixing": one.fixing, "count": one.count} for one in joint.fixings],
            jig=joint.jig,
        )
        planned.joints.append(Joint(assembly=planned.row, **read))


def _require_marks(reader: Reader, joint: OrderJoint, by_mark: Mapping[str, Part]) -> bool:
    """Whether both marks are those of parts of the assembly."""
    for field in ("part_a", "part_b"):
        mark = getattr(joint, field)
        if mark not in by_mark:
            marks = ", ".join(list(by_mark)[:12]) or "none"
            reader.refuse(field, f"This assembly has no part {mark!r}; its parts are {marks}.")
    return joint.part_a in by_mark and joint.part_b in by_mark


def store(commission: Commission, planned: Sequence[Planned]) -> None:
    """Write the rows, assemblies level by level and the rest at once."""
    for depth in sorted({each.depth for each in planned}):
        level = [each for each in planned if each.depth == depth]
        for each in level:
            each.row.commission = commission
            each.row.parent = each.parent.row if each.parent else None
        Assembly.objects.bulk_create(each.row for each in level)
    Part.objects.bulk_create((part for each in planned for part in each.parts), batch_size=500)
    Joint.objects.bulk_create((joint for each in planned for joint in each.joints), batch_size=500)
    ExtraWork.objects.bulk_create(
        (extra for each in planned for extra in each.extras), batch_size=500
    )
