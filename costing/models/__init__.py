"""The tables of costing."""

from .charge import Charge
from .extra_cost import ExtraCost
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
from .rates import HandRate, LabourRate, MachineBuildUp, MachineRate, RateEdition, TaxStep
from .what_if import WhatIf

__all__ = [
    "Board",
    "Charge",
    "ClockingJudgement",
    "DoubtfulClocking",
    "ExtraCost",
    "ForetoldOrder",
    "Glue",
    "HandEffect",
    "HandRate",
    "Invoice",
    "LabourChange",
    "LabourFit",
    "LabourRate",
    "LearnedCell",
    "MachineBuildUp",
    "MachineRate",
    "PriceSetting",
    "Quote",
    "QuoteLink",
    "QuoteQuestion",
    "RateEdition",
    "RefusedProposal",
    "Sheet",
    "TaxStep",
    "TimberAllowance",
    "WhatIf",
]
