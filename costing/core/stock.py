"""From finished parts to the timber that must be bought: rough sizes, thicknesses, volumes."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from costing.core.tables import rows_of
from orders.core.errors import NotReady, RuleBroken
from orders.core.lengths import LengthUnit, format_length, parse_length

__all__ = [
    "BOARD_FOOT_M3",
    "Allowance",
    "LengthUnit",
    "PartSize",
    "RoughSize",
    "addition_to_net",
    "board_feet",
    "cubic_metres",
    "format_length",
    "parse_length",
    "rough_size",
    "share_of_gross",
    "starting_allowances",
    "stock_thickness",
]

BOARD_FOOT_M3 = 144 * 0.0254**3
"""One board foot, 144 cubic inches: 0.002359737216 m3, exact by the inch of 25.4 mm."""

MM3_PER_M3 = 1e9
LONGEST_MM = 100_000.0
FIT_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSize:
    """The finished size of a part, its grain along the length, and how many there are."""

    key: str
    label: str
    species: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    quantity: int = 1

    def faults(self) -> list[RuleBroken]:
        """What is wrong with these figures, one fault for each field."""
        faults = []
        for field in ("length_mm", "width_mm", "thickness_mm"):
            size: float = getattr(self, field)
            if not (math.isfinite(size) and 0 < size <= LONGEST_MM):
                noun = field.removesuffix("_mm")
                faults.append(
                    RuleBroken(
                        field, f"The {noun} of {self.label} must lie between 0 and 100 000 mm."
                    )
                )
        if self.quantity < 0:
            faults.append(
                RuleBroken(
                    "quantity", f"There cannot be fewer than no {self.label}: give 0 or more."
                )
            )
        return faults

    @property
    def net_m3(self) -> float:
        """Volume of all of them as finished."""
        return self.length_mm * self.width_mm * self.thickness_mm * self.quantity / MM3_PER_M3


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """What is added to a finished size before sawing, and the share of the stock that is lost.

    `waste_share_of_gross` is waste over what is bought: 0.2 means that a fifth of it becomes
    waste, so that 1.25 times the rough volume is bought. It is not a mark-up on the net volume.
    """

    length_mm: float = 0.0
    width_mm: float = 0.0
    thickness_mm: float = 0.0
    waste_share_of_gross: float = 0.0

    def __post_init__(self) -> None:
        for field in ("length_mm", "width_mm", "thickness_mm"):
            if not 0 <= getattr(self, field) < LONGEST_MM:
                raise RuleBroken(field, "An allowance is 0 mm or more.")
        check_waste_share(self.waste_share_of_gross)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughSize:
    """A part as sawn out: its rough size, the thickness it comes from, and three volumes.

    All volumes are for the whole quantity: `net_m3` as finished, `rough_m3` at the stock
    thickness with allowances, `gross_m3` with the waste of conversion.
    """

    part: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    stock_thickness_mm: float
    quantity: int
    net_m3: float
    rough_m3: float
    gross_m3: float

    @property
    def waste_m3(self) -> float:
        """What falls beside the rough sizes."""
        return self.gross_m3 - self.rough_m3


def check_waste_share(share: float, field: str = "waste_share_of_gross") -> None:
    """Raise RuleBroken unless the share leaves something: from 0 to less than 1."""
    if not 0 <= share < 1:
        raise RuleBroken(
            field,
            "Waste is a share of what is bought, from 0 to less than 1: 0.2 means that a fifth "
            "of the stock is lost.",
        )


def rough_size(part: PartSize, allowance: Allowance, thicknesses_mm: Iterable[float]) -> RoughSize:
    """The sawn size of a part and the stock it takes from the next thicker board.

    Raises RuleBroken for the first fault of the part, NotReady when no board is thick enough.
    """
    for fault in part.faults():
        raise fault
    thickness = part.thickness_mm + allowance.thickness_mm
    stock_mm = stock_thickness(thickness, thicknesses_mm, what=part.label)
    length = part.length_mm + allowance.length_mm
    width = part.width_mm + allowance.width_mm
    rough_m3 = length * width * stock_mm * part.quantity / MM3_PER_M3
    return RoughSize(
        part=part.key,
        length_mm=length,
        width_mm=width,
        thickness_mm=thickness,
        stock_thickness_mm=stock_mm,
        quantity=part.quantity,
        net_m3=part.net_m3,
        rough_m3=rough_m3,
        gross_m3=rough_m3 / (1 - allowance.waste_share_of_gross),
    )


def stock_thickness(
    needed_mm: float, thicknesses_mm: Iterable[float], *, what: str = "the part"
) -> float:
    """The thinnest board in the rack that is at least as thick as needed.

    Raises NotReady when there is none.
    """
    in_rack = sorted(thicknesses_mm)
    for thickness in in_rack:
        if thickness >= needed_mm - FIT_MM:
            return thickness
    if not in_rack:
        raise NotReady(f"There is no board for {what} in the rack; add one.")
    raise NotReady(
        f"No board is thick enough for {what}: it needs {needed_mm:g} mm sawn and the thickest is "
        f"{in_rack[-1]:g} mm. Add a thicker board, or glue it up from thinner parts."
    )


def board_feet(volume_m3: float) -> float:
    """Board feet of a volume in cubic metres."""
    return volume_m3 / BOARD_FOOT_M3


def cubic_metres(volume_board_feet: float) -> float:
    """Cubic metres of a volume in board feet."""
    return volume_board_feet * BOARD_FOOT_M3


def share_of_gross(addition: float) -> float:
    """Waste as a share of what is bought, from a mark-up on the net: 0.25 gives 0.2."""
    if addition < 0:
        raise RuleBroken("addition_to_net", "An addition to the net volume is 0 or more.")
    return addition / (1 + addition)


def addition_to_net(waste_share_of_gross: float) -> float:
    """The mark-up on the net volume that covers this waste: 0.2 gives 0.25."""
    check_waste_share(waste_share_of_gross)
    return waste_share_of_gross / (1 - waste_share_of_gross)


@cache
def starting_allowances() -> Mapping[str, Allowance]:
    """Allowances to begin with by form of stock, until the shop has measured its own.

    Source: the column of that name in costing/data/allowances.csv.
    """
    return MappingProxyType(
        {
            row["stock"]: Allowance(
                length_mm=float(row["length_mm"]),
                width_mm=float(row["width_mm"]),
                thickness_mm=float(row["thickness_mm"]),
                waste_share_of_gross=share_of_gross(float(row["addition_to_net"])),
            )
            for row in rows_of("allowances")
        }
    )
