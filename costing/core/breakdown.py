"""What an estimate is made from: assemblies, parts, timed operations, glue and extras."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from costing.core.glue import DurabilityClass
from costing.core.learning import LOWEST_SLOPE
from costing.core.stock import PartSize
from orders.core.errors import RuleBroken

STARTING_SPREAD = 0.30
"""Spread of an operation's minutes where nothing is known; common practice, no source."""

STARTING_ORDER_SPREAD = 0.10
"""Spread of a whole order's difficulty where nothing is known; common practice, no source."""

MOST_SPREAD = 3.0
LONGEST_MIN = 1e7


class Method(StrEnum):
    """How an operation is done."""

    HAND = "hand"
    MACHINE = "machine"


class ExtraKind(StrEnum):
    """What a line that is neither timber, glue nor time is for."""

    SUNDRIES = "sundries"
    FINISH = "finish"
    OUTWORK = "outwork"
    DELIVERY = "delivery"

    @property
    def handled_as(self) -> Handled:
        """What it is handled as."""
        return HANDLED[self]


class Handled(StrEnum):
    """What the rate book charges for the handling of."""

    MATERIALS = "materials"
    OUTWORK = "outwork"
    DELIVERY = "delivery"


HANDLED = {
    ExtraKind.SUNDRIES: Handled.MATERIALS,
    ExtraKind.FINISH: Handled.MATERIALS,
    ExtraKind.OUTWORK: Handled.OUTWORK,
    ExtraKind.DELIVERY: Handled.DELIVERY,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Assembly:
    """An assembly, how many are made in the whole commission, and the parts of one."""

    key: str
    label: str
    quantity: int = 1
    parts: tuple[PartSize, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OperationLine:
    """An operation with its standard minutes: one set-up, then so much for each.

    `count` is per assembly; it is done as one batch for all of them. `joint` is the label of the
    joint it belongs to, "" for work that belongs to none. `spread` is the standard deviation of the
    logarithm of the minutes; `learning_slope` 1 is no learning inside the batch. `learnt` is the
    share of `each_min` that is left when the whole work is made several times over.
    """

    key: str
    label: str
    assembly: str
    skill: str
    joint: str = ""
    station_kind: str = ""
    method: Method = Method.HAND
    count: int = 1
    setup_min: float = 0.0
    each_min: float = 0.0
    spread: float = STARTING_SPREAD
    learning_slope: float = 1.0
    learnt: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueArea:
    """The glued area of a joint in one assembly, and the durability class it needs."""

    key: str
    label: str
    assembly: str
    area_mm2: float
    glue_class: DurabilityClass = DurabilityClass.D1
    adhesive: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtraLine:
    """Sundries, finish, outwork or delivery; with no assembly it is for the whole commission.

    `quantity` is per assembly, or in all where there is none. A unit price below zero is a credit.
    """

    key: str
    label: str
    unit_price: Decimal
    kind: ExtraKind = ExtraKind.SUNDRIES
    quantity: Decimal = Decimal(1)
    unit: str = ""
    assembly: str = ""
    spread: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateInput:
    """One commission, broken down and timed, ready to be priced."""

    commission: str
    currency: str
    assemblies: tuple[Assembly, ...] = ()
    operations: tuple[OperationLine, ...] = ()
    glue: tuple[GlueArea, ...] = ()
    extras: tuple[ExtraLine, ...] = ()
    order_spread: float = STARTING_ORDER_SPREAD

    def faults(self) -> list[RuleBroken]:
        """All that is wrong with these figures, each beside its field."""
        keys = {assembly.key for assembly in self.assemblies}
        faults = [] if 0 <= self.order_spread <= MOST_SPREAD else [_bad_spread("order_spread")]
        if len(keys) < len(self.assemblies):
            faults.append(RuleBroken("assemblies", "Two assemblies have the same key."))
        for place, assembly in enumerate(self.assemblies):
            faults += _under(f"assemblies/{place}", _assembly_faults(assembly))
        for place, operation in enumerate(self.operations):
            faults += _under(f"operations/{place}", _operation_faults(operation, keys))
        for place, area in enumerate(self.glue):
            faults += _under(f"glue/{place}", _glue_faults(area, keys))
        for place, extra in enumerate(self.extras):
            faults += _under(f"extras/{place}", _extra_faults(extra, keys))
        return faults


def _under(prefix: str, faults: list[RuleBroken]) -> list[RuleBroken]:
    return [fault.under(prefix) for fault in faults]


def _bad_spread(field: str) -> RuleBroken:
    return RuleBroken(field, "A spread lies from 0 to 3; 0.3 is usual for a bench operation.")


def _unknown(assembly: str, label: str) -> RuleBroken:
    return RuleBroken(
        "assembly", f"{label} belongs to assembly {assembly!r}, which is not in this commission."
    )


def _negative(field: str, label: str) -> RuleBroken:
    return RuleBroken(field, f"The {field.replace('_', ' ')} of {label} must be 0 or more.")


def _assembly_faults(assembly: Assembly) -> list[RuleBroken]:
    faults = [] if assembly.quantity >= 0 else [_negative("quantity", assembly.label)]
    for place, part in enumerate(assembly.parts):
        faults += _under(f"parts/{place}", part.faults())
    return faults


def _operation_faults(operation: OperationLine, keys: set[str]) -> list[RuleBroken]:
    faults = []
    if operation.assembly not in keys:
        faults.append(_unknown(operation.assembly, operation.label))
    if operation.count < 0:
        faults.append(_negative("count", operation.label))
    if not 0 <= operation.setup_min <= LONGEST_MIN:
        faults.append(_negative("setup_min", operation.label))
    if not 0 <= operation.each_min <= LONGEST_MIN:
        faults.append(_negative("each_min", operation.label))
    if not 0 <= operation.spread <= MOST_SPREAD:
        faults.append(_bad_spread("spread"))
    if not LOWEST_SLOPE <= operation.learning_slope <= 1:
        faults.append(
            RuleBroken("learning_slope", "A learning slope lies from 0.6 to 1; 1 is no learning.")
        )
    if not 0 < operation.learnt <= 1:
        faults.append(
            RuleBroken("learnt", "What is left after learning is a share, 1 at the most.")
        )
    return faults


def _glue_faults(area: GlueArea, keys: set[str]) -> list[RuleBroken]:
    faults = [] if area.assembly in keys else [_unknown(area.assembly, area.label)]
    if not (math.isfinite(area.area_mm2) and area.area_mm2 >= 0):
        faults.append(_negative("area_mm2", area.label))
    return faults


def _extra_faults(extra: ExtraLine, keys: set[str]) -> list[RuleBroken]:
    faults = []
    if extra.assembly and extra.assembly not in keys:
        faults.append(_unknown(extra.assembly, extra.label))
    if not (extra.quantity.is_finite() and extra.quantity >= 0):
        faults.append(_negative("quantity", extra.label))
    if not extra.unit_price.is_finite():
        faults.append(RuleBroken("unit_price", f"Give {extra.label} a price."))
    if not 0 <= extra.spread <= MOST_SPREAD:
        faults.append(_bad_spread("spread"))
    return faults
