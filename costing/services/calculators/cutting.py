"""The cutting calculator: parts and stock to a cutting plan that was checked by other code."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from costing.core.cutting import CuttingJob, CuttingPlan, plan_cutting
from costing.core.cutting_check import Violation, check_cutting
from costing.services.calculators.calculator import Calculator
from costing.services.calculators.limits import Limits, require
from orders.core.orderfile import STRICT


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingDocument(CuttingJob):
    """Parts to be cut, the stock to cut them from, and the rules of the saw."""

    __pydantic_config__: ClassVar[Mapping[str, Any]] = STRICT


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingAnswer:
    """A plan, how far it is from the bound, and what an independent checker finds wrong with it."""

    plan: CuttingPlan
    gap: float
    gross_yield: float
    broken_rules: tuple[Violation, ...]


def cut(document: CuttingDocument, limits: Limits) -> CuttingAnswer:
    """The plan; raises RuleBroken or RulesBroken for sizes that cannot be, or too many pieces."""
    pieces = sum(max(0, part.quantity) for part in document.parts)
    require("parts", pieces, limits.pieces, "pieces to cut")
    require("stock", len(document.stock), limits.stock, "kinds of stock")
    trials = document.rules.effort * pieces * len(document.stock)
    require("rules/effort", trials, limits.trials, "attempts x pieces x kinds of stock")
    plan = plan_cutting(document)
    return CuttingAnswer(
        plan=plan,
        gap=plan.gap,
        gross_yield=plan.gross_yield,
        broken_rules=check_cutting(plan, document),
    )


CUTTING = Calculator(
    name="cutting",
    summary="Plan the cutting of bars, boards and sheets, with a proved bound.",
    document=CuttingDocument,
    answer=CuttingAnswer,
    reckon=cut,
)
