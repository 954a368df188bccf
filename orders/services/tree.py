"""The tree in which the assemblies of a commission stand, and the rows that hang on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TypeVar

from orders.models import Assembly, ExtraWork, Joint, Part

Owned = TypeVar("Owned", Part, Joint, ExtraWork)


def family(assembly: Assembly) -> list[Assembly]:
    """An assembly and all that stands below it, parents first."""
    children = by_parent(assembly.commission.assemblies.all())
    found = [assembly]
    for member in found:
        found += children.get(member.pk, [])
    return found


def parents_first(assemblies: Iterable[Assembly]) -> list[Assembly]:
    """The same assemblies so that each stands after its parent, if that is among them."""
    waiting = list(assemblies)
    among = {assembly.pk for assembly in waiting}
    placed: list[Assembly] = []
    known: set[int] = set()
    while waiting:
        ready = [a for a in waiting if a.parent_id in known or a.parent_id not in among]
        if not ready:
            raise ValueError("Assemblies stand in a circle.")
        placed += ready
        known |= {a.pk for a in ready}
        waiting = [a for a in waiting if a.pk not in known]
    return placed


def by_parent(assemblies: Iterable[Assembly]) -> Mapping[int | None, list[Assembly]]:
    """The assemblies below each, and below none."""
    found: dict[int | None, list[Assembly]] = {}
    for assembly in assemblies:
        found.setdefault(assembly.parent_id, []).append(assembly)
    return found


def by_assembly(rows: Iterable[Owned]) -> Mapping[int, list[Owned]]:
    """The rows of each assembly."""
    found: dict[int, list[Owned]] = {}
    for row in rows:
        found.setdefault(row.assembly_id, []).append(row)
    return found
