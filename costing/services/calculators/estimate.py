"""The estimate calculator: what a commission costs, every figure with its make-up."""

# ruff: noqa: RUF009 -- `told` answers a dataclass field, not a value.

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from costing.core.estimate import Estimate, EstimateInput, Pricing, Rack, RateBook, estimate
from costing.core.pricing import EXPECTED
from costing.core.stock import Allowance
from costing.services.calculators.calculator import Calculator
from costing.services.calculators.limits import Limits
from orders.core.orderfile import STRICT, told


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateDocument(EstimateInput):
    """One commission, broken down and timed, with the rates and the rack to price it from."""

    __pydantic_config__: ClassVar[Mapping[str, Any]] = STRICT

    rates: RateBook = told("The rates; of the commission's currency.")
    rack: Rack = told("What the shop has or can buy.", default=Rack())
    pricing: Pricing = told("What the price starts from.", default=EXPECTED)


def price(document: EstimateDocument, limits: Limits) -> Estimate:
    """The estimate; raises RulesBroken or NotReady with what to change."""
    return estimate(document, document.rates, document.rack, document.pricing)


ESTIMATE = Calculator(
    name="estimate",
    summary="Price a commission: lines that unfold, tax, and how sure it all is.",
    document=EstimateDocument,
    answer=Estimate,
    reckon=price,
    checked=(Allowance,),
)
