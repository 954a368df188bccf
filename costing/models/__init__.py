"""The tables of costing."""

from .quote import Quote
from .rack import Board, Glue, Sheet, TimberAllowance
from .rates import LabourRate, MachineRate, RateEdition

__all__ = [
    "Board",
    "Glue",
    "LabourRate",
    "MachineRate",
    "Quote",
    "RateEdition",
    "Sheet",
    "TimberAllowance",
]
