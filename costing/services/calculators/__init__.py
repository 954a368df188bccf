"""The calculators: the cores asked by one JSON document, without a database.

Each is one module. What it reads and writes are the core's own values, so that the published
schemas cannot drift from what the core does.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from costing.services.calculators.calculator import Calculator
from costing.services.calculators.costs import COSTS
from costing.services.calculators.cutting import CUTTING
from costing.services.calculators.estimate import ESTIMATE
from costing.services.calculators.joint import JOINT
from costing.services.calculators.labour import LABOUR
from costing.services.calculators.limits import SHORT, UNHURRIED, Limits
from costing.services.calculators.schedule import SCHEDULE
from costing.services.calculators.study import STUDY

__all__ = ["CALCULATORS", "SHORT", "UNHURRIED", "Calculator", "Limits"]

CALCULATORS: Mapping[str, Calculator[Any, Any]] = MappingProxyType(
    {each.name: each for each in (JOINT, ESTIMATE, COSTS, CUTTING, SCHEDULE, LABOUR, STUDY)}
)
