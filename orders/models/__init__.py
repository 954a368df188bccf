"""The tables of orders."""

from .assembly import Assembly
from .client import Client
from .commission import Commission, StageMove
from .extra import ExtraWork
from .idempotency import AnsweredRequest
from .joint import Joint
from .operation import Operation
from .own_pattern import OwnPattern
from .part import Part
from .standards import StandardEdition, StandardTime

__all__ = [
    "AnsweredRequest",
    "Assembly",
    "Client",
    "Commission",
    "ExtraWork",
    "Joint",
    "Operation",
    "OwnPattern",
    "Part",
    "StageMove",
    "StandardEdition",
    "StandardTime",
]
