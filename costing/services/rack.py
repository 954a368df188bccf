"""The rack: boards, sheets, glues and allowances; and how the estimate reads them."""

from __future__ import annotations

from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db import transaction

from costing.core import rack as core
from costing.core.glue import DurabilityClass
from costing.core.stock import Allowance
from costing.models import Board, Glue, Sheet, TimberAllowance
from orders.core.errors import RuleBroken, RulesBroken
from orders.core.species import species as species_of
from shop.models import Workshop

Item = TypeVar("Item", Board, Sheet, Glue, TimberAllowance)


@transaction.atomic
def add_item(kind: type[Item], workshop: Workshop, /, **fields: Any) -> Item:
    """Put a board, a sheet, a glue or an allowance on the rack.

    Raises RulesBroken for what it cannot be, by the name of its field.
    """
    item = kind(workshop=workshop, **fields)
    check(item)
    item.save()
    return item


@transaction.atomic
def change_item(item: Item, *, version: int | None = None, **fields: Any) -> Item:
    """Change it; prices of quotes that are out stay as they were issued.

    Raises Stale if it was changed since `version`, RulesBroken as `add_item` does.
    """
    item = type(item).objects.select_for_update().get(pk=item.pk)
    item.require_version(version)
    for name, value in fields.items():
        setattr(item, name, value)
    check(item)
    item.save_next()
    return item


@transaction.atomic
def remove_item(item: Item, *, version: int | None = None) -> None:
    """Take it off the rack.

    Raises Stale if it was changed since `version`.
    """
    item = type(item).objects.select_for_update().get(pk=item.pk)
    item.require_version(version)
    item.delete()


def check(item: Board | Sheet | Glue | TimberAllowance) -> None:
    """Raise RulesBroken for every field that makes no sense."""
    faults: list[RuleBroken] = []
    if isinstance(item, Board) or (isinstance(item, TimberAllowance) and item.species):
        try:
            species_of(item.species)
        except RuleBroken as fault:
            faults.append(RuleBroken("species", fault.message))
    try:
        item.full_clean()
    except ValidationError as error:
        faults += [
            RuleBroken("" if name == "__all__" else name, sentence)
            for name, sentences in error.message_dict.items()
            for sentence in sentences
        ]
    if faults:
        raise RulesBroken(faults)


def rack_of(workshop: Workshop) -> core.Rack:
    """The rack as the estimate reads it; four queries."""
    allowances = {
        row.species: Allowance(
            length_mm=float(row.length_mm),
            width_mm=float(row.width_mm),
            thickness_mm=float(row.thickness_mm),
            waste_share_of_gross=float(row.waste_share_of_gross),
        )
        for row in TimberAllowance.objects.of(workshop)
    }
    usual = allowances.pop("", Allowance())
    return core.Rack(
        boards=tuple(
            core.Board(
                species=row.species,
                thickness_mm=float(row.thickness_mm),
                price_per_m3=row.price_per_m3,
                waste_share_of_gross=share(row.waste_share_of_gross),
                grade=row.grade,
            )
            for row in Board.objects.of(workshop)
        ),
        sheets=tuple(
            core.Sheet(
                species=row.species,
                thickness_mm=float(row.thickness_mm),
                price_per_m2=row.price_per_m2,
                waste_share_of_gross=share(row.waste_share_of_gross),
            )
            for row in Sheet.objects.of(workshop)
        ),
        glues=tuple(
            core.RackGlue(
                key=str(row.pk),
                label=row.name,
                durability_class=DurabilityClass(row.durability_class),
                spread_g_per_m2=row.spread_g_per_m2,
                price_per_kg=row.price_per_kg,
            )
            for row in Glue.objects.of(workshop)
        ),
        allowance=usual,
        allowances=allowances,
    )


def share(value: Any) -> float | None:
    """A share of gross, or None where the species' allowance holds."""
    return None if value is None else float(value)
