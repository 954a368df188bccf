"""The labour calculator: clocked minutes against standard minutes, by joint type and operation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from costing.core.labour import LabourLine, LabourRecord, labour_by_joint_type
from costing.services.calculators.calculator import Calculator
from costing.services.calculators.limits import Limits
from orders.core.orderfile import STRICT, told


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourDocument:
    """Finished stretches of work, and the confidence that intervals are asked for."""

    __pydantic_config__: ClassVar[Mapping[str, Any]] = STRICT

    clockings: tuple[LabourRecord, ...] = told("What was clocked.")
    confidence: float = told("Between 0 and 1; 0.8 for 80 %.", default=0.80, ge=0.01, le=0.999)


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourAnswer:
    """Labour lines, by joint type and operation."""

    lines: tuple[LabourLine, ...]


def labour(document: LabourDocument, limits: Limits) -> LabourAnswer:
    """The lines; raises RuleBroken for minutes that are not more than 0."""
    return LabourAnswer(
        lines=labour_by_joint_type(document.clockings, confidence=document.confidence)
    )


LABOUR = Calculator(
    name="labour",
    summary="Compare clocked minutes with standard minutes, by joint type and operation.",
    document=LabourDocument,
    answer=LabourAnswer,
    reckon=labour,
)
