"""What a cutting plan is made from and what it says: parts, stock, rules, and cuts in place.

Sizes come in as millimetres; positions in a plan are whole micrometres, so that nothing is lost.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from orders.core.errors import RuleBroken

LONGEST_MM = 100_000.0
MOST_PIECES = 100_000


class StockKind(StrEnum):
    """A bar is cut to length only; a board or a sheet is ripped into strips first."""

    BAR = "bar"
    BOARD = "board"
    SHEET = "sheet"


class Grain(StrEnum):
    """Which side of a part the grain runs along; stock has its grain along its length."""

    LENGTH = "length"
    WIDTH = "width"
    ANY = "any"


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPart:
    """A part at the size it is sawn to; its thickness is that of the stock it comes from."""

    key: str
    label: str
    species: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    quantity: int = 1
    grain: Grain = Grain.LENGTH


@dataclass(frozen=True, slots=True, kw_only=True)
class StockPiece:
    """Stock of one size; `quantity` is how many there are, None for as many as are wanted."""

    key: str
    species: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    kind: StockKind = StockKind.BOARD
    quantity: int | None = None
    price: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingRules:
    """Saw kerfs and trims; a trim is what is lost at each end or edge, its own kerf included.

    `effort` is the number of attempts at a better plan. The same seed gives the same plan.
    """

    kerf_cross_mm: float = 3.2
    kerf_rip_mm: float = 3.2
    end_trim_mm: float = 0.0
    edge_trim_mm: float = 0.0
    effort: int = 200
    seed: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingJob:
    """Everything a cutting plan depends on."""

    parts: tuple[CutPart, ...]
    stock: tuple[StockPiece, ...]
    rules: CuttingRules = field(default_factory=CuttingRules)

    def faults(self) -> list[RuleBroken]:
        """All that is wrong with these figures, each beside its field."""
        faults = _rule_faults(self.rules)
        rooms: tuple[tuple[str, Sequence[CutPart | StockPiece]], ...] = (
            ("parts", self.parts),
            ("stock", self.stock),
        )
        for room, items in rooms:
            if len({item.key for item in items}) < len(items):
                faults.append(RuleBroken(room, f"Two of the {room} have the same key."))
            for place, item in enumerate(items):
                faults += [fault.under(f"{room}/{place}") for fault in _size_faults(item)]
        for place, stock in enumerate(self.stock):
            if stock.price is not None and not (stock.price.is_finite() and stock.price >= 0):
                faults.append(RuleBroken(f"stock/{place}/price", "A price is 0 or more."))
        if sum(max(0, part.quantity) for part in self.parts) > MOST_PIECES:
            faults.append(RuleBroken("parts", "Plan at most 100 000 pieces at once."))
        return faults


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPart:
    """One part in place: `x_um` along the stock, `y_um` across it; turned if its width runs along."""

    part: str
    x_um: int
    y_um: int
    length_um: int
    width_um: int
    is_turned: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A strip ripped along the stock, with the parts crosscut from it."""

    y_um: int
    width_um: int
    parts: tuple[PlacedPart, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPattern:
    """How one piece of stock is cut, and how many are cut alike."""

    stock: str
    copies: int
    strips: tuple[Strip, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unplaced:
    """Parts that could not be placed, and why."""

    part: str
    quantity: int
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingPlan:
    """Patterns to cut, what they cost, and how much better any plan could be.

    `objective` is "price", or "area" in square metres where the stock has no prices.
    `lower_bound` is proved for plans of the same kind: strips ripped first, then crosscut.
    """

    patterns: tuple[CutPattern, ...]
    unplaced: tuple[Unplaced, ...]
    objective: str
    cost: Decimal
    lower_bound: Decimal
    stock_m3: float
    parts_m3: float

    @property
    def gap(self) -> float:
        """How far the cost lies above the bound, as a share of the bound."""
        return float(self.cost / self.lower_bound - 1) if self.lower_bound else 0.0

    @property
    def gross_yield(self) -> float:
        """Volume of the parts over that of the stock that is opened for them."""
        return self.parts_m3 / self.stock_m3 if self.stock_m3 else 0.0


def _rule_faults(rules: CuttingRules) -> list[RuleBroken]:
    faults = [
        RuleBroken(f"rules/{name}", "A kerf or a trim is 0 mm or more.")
        for name in ("kerf_cross_mm", "kerf_rip_mm", "end_trim_mm", "edge_trim_mm")
        if not 0 <= getattr(rules, name) <= LONGEST_MM
    ]
    if not 0 <= rules.effort <= 100_000:
        faults.append(RuleBroken("rules/effort", "Give between 0 and 100 000 attempts."))
    return faults


def _size_faults(item: CutPart | StockPiece) -> list[RuleBroken]:
    faults = []
    for name in ("length_mm", "width_mm", "thickness_mm"):
        size: float = getattr(item, name)
        if not (math.isfinite(size) and 0.001 <= size <= LONGEST_MM):
            noun = name.removesuffix("_mm")
            faults.append(
                RuleBroken(name, f"The {noun} of {item.key} must lie between 0 and 100 000 mm.")
            )
    if item.quantity is not None and item.quantity < 0:
        faults.append(RuleBroken("quantity", f"There cannot be fewer than no {item.key}."))
    return faults
