"""The calculator of costs: rates from a year's figures, profit both ways, break-even, variances."""

# ruff: noqa: RUF009 -- `told` answers a dataclass field, not a value.

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Any, ClassVar

from costing.core.lines import Line
from costing.core.machine_hours import MachineCost, machine_hour
from costing.core.rates import Profit, break_even_units, overhead_rate
from costing.core.variance import (
    fixed_overhead_variance,
    is_worth_a_look,
    labour_variance,
    material_variance,
    variable_overhead_variance,
)
from costing.services.calculators.calculator import Calculator
from costing.services.calculators.limits import Limits
from orders.core.errors import RuleBroken, RulesBroken
from orders.core.orderfile import STRICT, told

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class OverheadYear:
    """A year's overhead, and the hours or the labour cost that are to carry it."""

    amount: Decimal
    base: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """What a piece sells for and costs, and what the shop costs without any."""

    fixed: Decimal
    price: Decimal
    variable: Decimal
    profit: Decimal = ZERO
    sold: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourFigures:
    """Hours and rate, as they were and as the standard has them."""

    actual_hours: Decimal
    actual_rate: Decimal
    standard_hours: Decimal
    standard_rate: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialFigures:
    """What was bought and used, and what the standard asks for."""

    bought: Decimal
    actual_price: Decimal
    used: Decimal
    standard_quantity: Decimal
    standard_price: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class VariableOverheadFigures:
    """Overhead that follows the hours."""

    actual: Decimal
    actual_hours: Decimal
    standard_hours: Decimal
    standard_rate: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedOverheadFigures:
    """Overhead that does not: what it was, its budget, and what the work carried."""

    actual: Decimal
    budget: Decimal
    applied: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class CostsDocument:
    """What is given is reckoned; each part stands alone."""

    __pydantic_config__: ClassVar[Mapping[str, Any]] = STRICT

    currency: str = told("ISO 4217 letters; amounts of a machine hour are rounded to it.")
    overhead: OverheadYear | None = told("A year's shop overhead.", default=None)
    machine: MachineCost | None = told("What owning and running a machine takes.", default=None)
    profit: Profit | None = told("A margin of the price or a markup on cost.", default=None)
    pieces: Pieces | None = told("For the number at which nothing is lost.", default=None)
    labour: LabourFigures | None = told("Labour, actual and standard.", default=None)
    material: MaterialFigures | None = told("Material, actual and standard.", default=None)
    variable_overhead: VariableOverheadFigures | None = told(
        "Variable overhead, actual and standard.", default=None
    )
    fixed_overhead: FixedOverheadFigures | None = told(
        "Fixed overhead, actual and budgeted.", default=None
    )
    look_from: Decimal = told(
        "The share of its flexible budget from which a variance is worth a look.",
        default=Decimal("0.10"),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakEven:
    """Pieces to sell so that fixed costs are covered and the profit asked for is earned.

    `sales` is what they bring; `ratio` what is left of the price of a piece after its own cost;
    `safety` how many were sold beyond that number, and `safety_sales` what those brought.
    """

    units: Decimal
    sales: Decimal
    ratio: Decimal
    safety: Decimal | None = None
    safety_sales: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Variance:
    """Two variances that add up to the difference; above zero is unfavourable.

    `worth_a_look` names those that reach the share of the flexible budget.
    """

    parts: Mapping[str, Decimal]
    total: Decimal
    worth_a_look: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CostsAnswer:
    """One answer for each part of the document that was given."""

    overhead_rate: Decimal | None
    machine_hour: Line | None
    margin: Decimal | None
    markup: Decimal | None
    break_even: BreakEven | None
    variances: Mapping[str, Variance]


def costs(document: CostsDocument, limits: Limits) -> CostsAnswer:
    """The answers; raises RulesBroken, each fault under the part that it belongs to."""
    faults = list(_faults(document))
    if faults:
        raise RulesBroken(faults)
    year, profit = document.overhead, document.profit
    return CostsAnswer(
        overhead_rate=overhead_rate(year.amount, year.base) if year else None,
        machine_hour=machine_hour(document.machine, document.currency)
        if document.machine
        else None,
        margin=profit.margin if profit else None,
        markup=profit.markup if profit else None,
        break_even=_break_even(document.pieces) if document.pieces else None,
        variances=dict(_variances(document)),
    )


def _faults(document: CostsDocument) -> Iterator[RuleBroken]:
    if document.overhead and document.overhead.base <= 0:
        yield RuleBroken("overhead/base", "Overhead needs hours or labour to be charged on.")
    if document.machine:
        yield from (fault.under("machine") for fault in document.machine.faults())
    if document.profit:
        yield from (fault.under("profit") for fault in document.profit.faults())
    if document.pieces and document.pieces.price <= document.pieces.variable:
        yield RuleBroken(
            "pieces/price", "The price of a piece must be above what the piece itself costs."
        )
    for name in ("labour", "material", "variable_overhead", "fixed_overhead"):
        figures = getattr(document, name)
        for field, amount in asdict(figures).items() if figures else ():
            if amount < 0:
                yield RuleBroken(f"{name}/{field}", "Give 0 or more.")


def _break_even(pieces: Pieces) -> BreakEven:
    units = break_even_units(pieces.fixed, pieces.price, pieces.variable, pieces.profit)
    safety = None if pieces.sold is None else pieces.sold - units
    return BreakEven(
        units=units,
        sales=units * pieces.price,
        ratio=(pieces.price - pieces.variable) / pieces.price,
        safety=safety,
        safety_sales=None if safety is None else safety * pieces.price,
    )


def _variances(document: CostsDocument) -> Iterator[tuple[str, Variance]]:
    """Each pair by its name, with the flexible budget that it is held against."""
    if document.labour:
        figures = document.labour
        budget = figures.standard_hours * figures.standard_rate
        yield "labour", _pair(labour_variance(**asdict(figures)), budget, document)
    if document.material:
        stock = document.material
        budget = stock.standard_quantity * stock.standard_price
        yield "material", _pair(material_variance(**asdict(stock)), budget, document)
    if document.variable_overhead:
        varying = document.variable_overhead
        budget = varying.standard_hours * varying.standard_rate
        found = variable_overhead_variance(**asdict(varying))
        yield "variable_overhead", _pair(found, budget, document)
    if document.fixed_overhead:
        fixed = document.fixed_overhead
        found_fixed = fixed_overhead_variance(**asdict(fixed))
        yield "fixed_overhead", _pair(found_fixed, fixed.budget, document)


def _pair(found: Any, budget: Decimal, document: CostsDocument) -> Variance:
    parts: dict[str, Decimal] = asdict(found)
    return Variance(
        parts=parts,
        total=found.total,
        worth_a_look=tuple(
            name
            for name, amount in parts.items()
            if is_worth_a_look(amount, budget, document.look_from)
        ),
    )


COSTS = Calculator(
    name="costs",
    summary="Reckon rates from a year's figures, profit both ways, break-even and variances.",
    document=CostsDocument,
    answer=CostsAnswer,
    reckon=costs,
)
