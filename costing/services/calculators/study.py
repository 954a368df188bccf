"""The calculator of time studies: from watched cycles to a standard time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from costing.core.study import Studied, Watched, studied
from costing.services.calculators.calculator import Calculator
from costing.services.calculators.limits import Limits
from orders.core.orderfile import STRICT


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyDocument(Watched):
    """What was watched."""

    __pydantic_config__: ClassVar[Mapping[str, Any]] = STRICT


def reckon(document: StudyDocument, limits: Limits) -> Studied:
    """The answer; it takes no time worth limiting."""
    return studied(document)


STUDY = Calculator(
    name="study",
    summary="From watched cycles to a standard time, and how many cycles to watch.",
    document=StudyDocument,
    answer=Studied,
    reckon=reckon,
)
