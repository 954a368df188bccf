"""What the workshop has or can buy: boards, sheets and glues, with their prices."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from costing.core.breakdown import MOST_SPREAD
from costing.core.glue import DurabilityClass
from costing.core.money import ZERO
from costing.core.stock import Allowance, check_waste_share, stock_thickness
from orders.core.errors import NotReady, RuleBroken


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """Sawn timber of one species and thickness, priced by its gross volume.

    `waste_share_of_gross`, where given, stands in for the allowance's. `spread` is the standard
    deviation of the logarithm of what is really used over what is allowed for.
    """

    species: str
    thickness_mm: float
    price_per_m3: Decimal
    waste_share_of_gross: float | None = None
    grade: str = ""
    spread: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Sheet material, used at its own thickness and priced by its gross area."""

    species: str
    thickness_mm: float
    price_per_m2: Decimal
    waste_share_of_gross: float | None = None
    spread: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RackGlue:
    """A glue in the rack: its class, how it is spread, and its price."""

    key: str
    label: str
    durability_class: DurabilityClass
    spread_g_per_m2: float
    price_per_kg: Decimal
    waste_share_of_gross: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Rack:
    """Boards, sheets and glues, and the allowances that rough sizes are made with."""

    boards: tuple[Board, ...] = ()
    sheets: tuple[Sheet, ...] = ()
    glues: tuple[RackGlue, ...] = ()
    allowance: Allowance = field(default_factory=Allowance)
    allowances: Mapping[str, Allowance] = field(default_factory=dict)

    def allowance_for(self, species: str) -> Allowance:
        """The allowance of a species, or the rack's own."""
        return self.allowances.get(species, self.allowance)

    def board_for(self, species: str, needed_mm: float, *, what: str) -> Board:
        """The thinnest board that will do, the cheapest of those; raises NotReady when none."""
        boards = [board for board in self.boards if board.species == species]
        if not boards:
            raise NotReady(
                f"There is no {species} in the rack, and {what} is made of it; add a board or a "
                "sheet, or choose another species."
            )
        thickness = stock_thickness(needed_mm, [board.thickness_mm for board in boards], what=what)
        return min(
            (board for board in boards if board.thickness_mm == thickness),
            key=lambda board: board.price_per_m3,
        )

    def sheet_for(self, species: str, thickness_mm: float) -> Sheet | None:
        """The cheapest sheet of this material and thickness, if there is one."""
        sheets = [
            sheet
            for sheet in self.sheets
            if sheet.species == species and abs(sheet.thickness_mm - thickness_mm) < 1e-6
        ]
        return min(sheets, key=lambda sheet: sheet.price_per_m2, default=None)

    def glue_for(self, wanted: DurabilityClass, adhesive: str = "") -> RackGlue:
        """The named glue, or the lowest class that will do and the cheapest of it.

        Raises NotReady when the rack has none.
        """
        glues = [glue for glue in self.glues if not adhesive or glue.key == adhesive]
        if not glues and adhesive:
            raise NotReady(f"There is no glue {adhesive} in the rack; add it.")
        good = [glue for glue in glues if glue.durability_class.covers(wanted)]
        if not good:
            raise NotReady(f"No glue in the rack is of class {wanted} or better; add one.")
        return min(good, key=lambda glue: (glue.durability_class.value, glue.price_per_kg))

    def faults(self) -> list[RuleBroken]:
        """What is wrong with these figures."""
        rooms: tuple[tuple[str, Sequence[Board | Sheet | RackGlue], str], ...] = (
            ("boards", self.boards, "price_per_m3"),
            ("sheets", self.sheets, "price_per_m2"),
            ("glues", self.glues, "price_per_kg"),
        )
        return [
            fault.under(f"{room}/{place}")
            for room, items, price in rooms
            for place, item in enumerate(items)
            for fault in _faults(item, price)
        ]


def _faults(item: Board | Sheet | RackGlue, price: str) -> list[RuleBroken]:
    faults = []
    amount: Decimal = getattr(item, price)
    if not amount.is_finite() or amount < ZERO:
        faults.append(RuleBroken(price, "A price in the rack is 0 or more."))
    thickness = getattr(item, "thickness_mm", 1.0)
    if not 0 < thickness < 1e5:
        faults.append(RuleBroken("thickness_mm", "A board or sheet is more than 0 mm thick."))
    if not 0 < getattr(item, "spread_g_per_m2", 1.0) < 1e5:
        faults.append(RuleBroken("spread_g_per_m2", "A spread is more than 0 g per square metre."))
    if not 0 <= getattr(item, "spread", 0.0) <= MOST_SPREAD:
        faults.append(RuleBroken("spread", "A spread lies from 0 to 3; 0.1 is usual for timber."))
    try:
        check_waste_share(item.waste_share_of_gross or 0.0)
    except RuleBroken as fault:
        faults.append(fault)
    return faults
