"""The tables of costing."""

from .invoice import Invoice
from .labour import (
    ClockingJudgement,
    DoubtfulClocking,
    ForetoldOrder,
    HandEffect,
    LabourChange,
    LabourFit,
    LearnedCell,
    RefusedProposal,
)
from .pricing import PriceSetting
from .quote import Quote
from .quote_link import QuoteLink, QuoteQuestion
from .rack import Board, Glue, Sheet, TimberAllowance
from .rates import LabourRate, MachineRate, RateEdition

__all__ = [
    "Board",
    "ClockingJudgement",
    "DoubtfulClocking",
    "ForetoldOrder",
    "Glue",
    "HandEffect",
    "Invoice",
    "LabourChange",
    "LabourFit",
    "LabourRate",
    "LearnedCell",
    "MachineRate",
    "PriceSetting",
    "Quote",
    "QuoteLink",
    "QuoteQuestion",
    "RateEdition",
    "RefusedProposal",
    "Sheet",
    "TimberAllowance",
]
