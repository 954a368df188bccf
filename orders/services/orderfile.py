"""Order files: one commission out as a document, and in again."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from django.db import transaction
from pydantic import TypeAdapter

from orders.core.errors import RuleBroken
from orders.core.exposure import DurabilityClass, Exposure
from orders.core.figures import FOLDER
from orders.core.orderfile import (
    MOST_ASSEMBLIES,
    MOST_EXTRAS,
    MOST_JOINTS,
    MOST_PARTS,
    SCHEMA_ID,
    Cutting,
    Grain,
    OrderAssembly,
    OrderClient,
    OrderExtra,
    OrderFile,
    OrderFixing,
    OrderJoint,
    OrderPart,
)
from orders.models import Assembly, Client, Commission, ExtraWork, Joint, Part

from .assemblies import DEEPEST
from .clients import add_client, client_named
from .commissions import open_commission, read_commission
from .extras import operations_of
from .order_intake import planned_rows, store
from .reading import Reader
from .shape import read_shape
from .standards import current_times
from .tree import by_assembly, by_parent

if TYPE_CHECKING:
    from shop.models import User, Workshop

LIMITS: Mapping[str, int] = {
    "assemblies": MOST_ASSEMBLIES,
    "parts": MOST_PARTS,
    "joints": MOST_JOINTS,
    "extras": MOST_EXTRAS,
}


def order_file_schema() -> dict[str, Any]:
    """The published JSON Schema of an order file."""
    schema = _adapter().json_schema(mode="validation")
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": SCHEMA_ID,
        **schema,
        "title": "Order file",
        "examples": [example()],
    }


def export_order(commission: Commission) -> dict[str, Any]:
    """The commission as an order file; five queries however large."""
    document = _adapter().dump_python(_file_of(commission), mode="json")
    tidy: dict[str, Any] = _whole_numbers(document)
    return tidy


@transaction.atomic
def import_order(workshop: Workshop, document: Any, *, by: User | None) -> Commission:
    """Open a commission from an order file; all of it or, with any fault, nothing.

    A client of the same name is taken as it stands, otherwise added. Raises RuleBroken or
    RulesBroken, whose fields are JSON pointers without the first slash.
    """
    _require_limits(document)
    order = read_shape(_adapter(), document)
    reader = Reader()
    known = operations_of(current_times(workshop))
    planned = list(planned_rows(reader, order.assemblies, known))
    fields = _commission_fields(order)
    read_commission(reader, workshop, **fields)
    client = _client(reader, workshop, order.client)
    reader.settle()
    commission = open_commission(workshop, by=by, client=client, **fields)
    store(commission, planned)
    return commission


def example() -> dict[str, Any]:
    """A small order file that imports as it stands."""
    document: dict[str, Any] = json.loads((FOLDER / "order_file_example.json").read_text("utf-8"))
    return document


def assembly_file(assembly: Assembly) -> OrderAssembly:
    """One assembly with all within it, as it stands in an order file."""
    return _Rows(assembly.commission).one(assembly)


@cache
def _adapter() -> TypeAdapter[OrderFile]:
    return TypeAdapter(OrderFile)


def _require_limits(document: Any) -> None:
    """Refuse what is too large or too deep before it is read."""
    if not isinstance(document, Mapping):
        raise RuleBroken("", "An order file is one object with a title, a client and assemblies.")
    counts = dict.fromkeys(LIMITS, 0)
    level, depth = [document], 0
    while level:
        inner = [each for one in level for each in _listed(one, "assemblies")]
        counts["assemblies"] += len(inner)
        for key in ("parts", "joints", "extras"):
            counts[key] += sum(len(_listed(each, key)) for each in inner)
        for key, most in LIMITS.items():
            if counts[key] > most:
                raise RuleBroken(
                    "assemblies", f"An order file holds {most:,} {key} at most; divide it."
                )
        level, depth = inner, depth + 1
        if depth > DEEPEST + 1:
            raise RuleBroken(
                "assemblies", f"Assemblies may stand {DEEPEST} deep; bring some further up."
            )


def _listed(value: Any, key: str) -> list[Any]:
    found = value.get(key) if isinstance(value, Mapping) else None
    return found if isinstance(found, list) else []


def _commission_fields(order: OrderFile) -> dict[str, Any]:
    return {
        "title": order.title,
        "exposure": order.exposure.value,
        "glue_class": order.glue_class.value if order.glue_class else "",
        "glue_reason": order.glue_reason,
        "due_on": order.due_on,
        "weight": order.weight,
        "note": order.note,
    }


def _client(reader: Reader, workshop: Workshop, given: OrderClient) -> Client:
    """The client of this name, added if there is none; a fault leaves one that nobody sees."""
    known = client_named(workshop, given.name)
    if known is not None:
        return known
    with reader.under("client").keeping():
        return add_client(
            workshop,
            name=given.name,
            contact=given.contact,
            email=given.email,
            phone=given.phone,
            address=given.address,
            tax_number=given.tax_number,
        )
    return Client(workshop=workshop)


def _file_of(commission: Commission) -> OrderFile:
    rows = _Rows(commission)
    client = commission.client
    return OrderFile(
        title=commission.title,
        client=OrderClient(
            name=client.name,
            contact=client.contact,
            email=client.email,
            phone=client.phone,
            address=client.address,
            tax_number=client.tax_number,
        ),
        exposure=Exposure(commission.exposure),
        glue_class=DurabilityClass(commission.glue_class) if commission.glue_class else None,
        glue_reason=commission.glue_reason,
        due_on=commission.due_on,
        weight=float(commission.weight),
        note=commission.note,
        assemblies=rows.below(None),
    )


class _Rows:
    """The rows of one commission, read once, as they stand in an order file."""

    def __init__(self, commission: Commission) -> None:
        here = {"assembly__commission": commission}
        self.children = by_parent(commission.assemblies.order_by("position", "pk"))
        self.parts = by_assembly(Part.objects.filter(**here).order_by("pk"))
        self.joints = by_assembly(Joint.objects.filter(**here).order_by("pk"))
        self.extras = by_assembly(ExtraWork.objects.filter(**here).order_by("pk"))
        self.mark_of = {part.pk: part.mark for parts in self.parts.values() for part in parts}

    def below(self, parent: int | None) -> tuple[OrderAssembly, ...]:
        """The assemblies directly below one, each with all within it."""
        return tuple(self.one(assembly) for assembly in self.children.get(parent, []))

    def one(self, assembly: Assembly) -> OrderAssembly:
        """One assembly with all within it."""
        return OrderAssembly(
            name=assembly.name,
            quantity=assembly.quantity,
            parts=tuple(_order_part(part) for part in self.parts.get(assembly.pk, [])),
            joints=tuple(self._order_joint(joint) for joint in self.joints.get(assembly.pk, [])),
            extras=tuple(_order_extra(extra) for extra in self.extras.get(assembly.pk, [])),
            assemblies=self.below(assembly.pk),
        )

    def _order_joint(self, joint: Joint) -> OrderJoint:
        return OrderJoint(
            mark=joint.mark,
            name=joint.name,
            type=joint.type,
            part_a=self.mark_of[joint.part_a_id],
            part_b=self.mark_of[joint.part_b_id],
            count=joint.count,
            method=Cutting(joint.method),
            dimensions={
                name: value if isinstance(value, str) else float(value)
                for name, value in joint.dimensions.items()
            },
            fixings=tuple(OrderFixing(**one) for one in joint.fixings),
            jig=joint.jig,
        )


def _order_part(part: Part) -> OrderPart:
    return OrderPart(
        mark=part.mark,
        name=part.name,
        species=part.species,
        length_mm=float(part.length_mm),
        width_mm=float(part.width_mm),
        thickness_mm=float(part.thickness_mm),
        quantity=part.quantity,
        grain=Grain(part.grain),
        note=part.note,
    )


def _order_extra(extra: ExtraWork) -> OrderExtra:
    return OrderExtra(
        operation=extra.operation,
        name=extra.name,
        minutes=None if extra.minutes is None else float(extra.minutes),
        count=extra.count,
    )


def _whole_numbers(value: Any) -> Any:
    """The same document with 600.0 written as 600."""
    if isinstance(value, dict):
        return {key: _whole_numbers(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_whole_numbers(inner) for inner in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value
