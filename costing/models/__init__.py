"""The tables of costing."""

from .invoice import Invoice
from .quote import Quote
from .quote_link import QuoteLink, QuoteQuestion
from .rack import Board, Glue, Sheet, TimberAllowance
from .rates import LabourRate, MachineRate, RateEdition

__all__ = [
    "Board",
    "Glue",
    "Invoice",
    "LabourRate",
    "MachineRate",
    "Quote",
    "QuoteLink",
    "QuoteQuestion",
    "RateEdition",
    "Sheet",
    "TimberAllowance",
]
