"""Patterns of the shop's own: keep an assembly with its sizes set free, and make it again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from django.db import transaction
from pydantic import TypeAdapter

from orders.core.errors import RuleBroken
from orders.core.orderfile import OrderAssembly
from orders.core.own_pattern import Follows, FreeSize
from orders.core.own_pattern import OwnPattern as CorePattern
from orders.models import Assembly, OwnPattern

from .orderfile import assembly_file

PATTERN = TypeAdapter(CorePattern)
LEAST_SHARE, GREATEST_SHARE = 0.2, 5.0
"""A free size may shrink to a fifth and grow to five times what it was."""


@transaction.atomic
def keep_pattern(
    assembly: Assembly,
    *,
    name: str,
    note: str = "",
    free: Mapping[str, float],
    follows: Sequence[Follows] = (),
) -> OwnPattern:
    """Keep an assembly as a pattern; `free` has the sizes that are asked for, by label.

    Assemblies within it are left out. Raises RuleBroken without a name or a free size, or for a
    name that is taken; RulesBroken for rules that speak of what is not there.
    """
    workshop = assembly.commission.workshop
    words = " ".join(name.split())
    if not words:
        raise RuleBroken("name", "Give the pattern a name.")
    if OwnPattern.objects.of(workshop).filter(name=words).exists():
        raise RuleBroken("name", "There is already a pattern of this name; give another.")
    if not free:
        raise RuleBroken("free", "Set at least one size free, so that it can be asked for.")
    pattern = CorePattern(
        assembly=replace(assembly_file(assembly), assemblies=(), quantity=1),
        free=tuple(
            FreeSize(
                name=label,
                label=label,
                value_mm=value,
                least_mm=round(value * LEAST_SHARE, 1),
                most_mm=round(value * GREATEST_SHARE, 1),
            )
            for label, value in free.items()
        ),
        follows=tuple(follows),
    )
    kept: OwnPattern = OwnPattern.objects.create(
        workshop=workshop,
        name=words,
        note=note.strip(),
        content=PATTERN.dump_python(pattern, mode="json"),
    )
    return kept


def pattern_of(row: OwnPattern) -> CorePattern:
    """What was kept, ready to be made."""
    return PATTERN.validate_python(row.content)


def made_of(row: OwnPattern, values: Mapping[str, float]) -> OrderAssembly:
    """The assembly at these sizes; raises RuleBroken on the size that is wrong."""
    return pattern_of(row).made(values)


def forget_pattern(row: OwnPattern) -> None:
    """Throw a pattern away; what was made of it stays."""
    row.delete()
