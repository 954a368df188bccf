"""What the saw is told: parts by timber and thickness, rough and finished, and the stock they take."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from costing.core.rack import Rack
from costing.core.stock import MM3_PER_M3, board_feet
from costing.services.papers import Shop, shop_of
from costing.services.rack import rack_of
from orders.core.errors import NotReady
from orders.models import Commission
from orders.services.breakdown import AssemblyLine, PartLine, breakdown
from orders.services.standards import current_times

MM2_PER_M2 = 1e6


class Form(StrEnum):
    """What parts are sawn from; missing stock still has to be bought."""

    BOARD = "boards"
    SHEET = "sheet"
    MISSING = "not in the rack"


@dataclass(frozen=True, slots=True, kw_only=True)
class SawnPart:
    """A part to be sawn out: its pieces, its finished size and its rough one."""

    part: PartLine
    assembly: str
    rough_length_mm: float
    rough_width_mm: float
    rough_thickness_mm: float

    @property
    def pieces(self) -> int:
        """How many in the whole commission."""
        return self.part.total

    @property
    def net_m3(self) -> float:
        """The volume of all pieces as finished."""
        one = self.part.length_mm * self.part.width_mm * self.part.thickness_mm
        return one * self.pieces / MM3_PER_M3

    @property
    def rough_m2(self) -> float:
        """The area of all pieces as sawn out."""
        return self.rough_length_mm * self.rough_width_mm * self.pieces / MM2_PER_M2


@dataclass(frozen=True, slots=True, kw_only=True)
class SawnGroup:
    """The parts of one timber and stock thickness; volumes are for all their pieces.

    `gross_m3` is what must be bought, with the waste of conversion.
    """

    species: str
    form: Form
    thickness_mm: float
    parts: tuple[SawnPart, ...]
    gross_m3: float

    @property
    def pieces(self) -> int:
        """Pieces in the group."""
        return sum(part.pieces for part in self.parts)

    @property
    def net_m3(self) -> float:
        """As finished."""
        return sum(part.net_m3 for part in self.parts)

    @property
    def rough_m2(self) -> float:
        """The area as sawn out."""
        return sum(part.rough_m2 for part in self.parts)

    @property
    def rough_m3(self) -> float:
        """As sawn out, in the thickness of the stock."""
        return self.rough_m2 * self.thickness_mm / 1000

    @property
    def gross_board_feet(self) -> float:
        """What must be bought, in board feet."""
        return board_feet(self.gross_m3)

    @property
    def gross_m2(self) -> float:
        """What must be bought of a sheet."""
        return self.gross_m3 * 1000 / self.thickness_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingList:
    """Everything of a commission that is sawn out."""

    shop: Shop
    commission: str
    title: str
    due_on: date | None
    on: date
    groups: tuple[SawnGroup, ...]

    @property
    def pieces(self) -> int:
        """Pieces of the whole commission."""
        return sum(group.pieces for group in self.groups)

    @property
    def net_m3(self) -> float:
        """As finished."""
        return sum(group.net_m3 for group in self.groups)

    @property
    def rough_m3(self) -> float:
        """As sawn out."""
        return sum(group.rough_m3 for group in self.groups)

    @property
    def gross_m3(self) -> float:
        """To be bought."""
        return sum(group.gross_m3 for group in self.groups)

    @property
    def gross_board_feet(self) -> float:
        """To be bought, in board feet."""
        return board_feet(self.gross_m3)


def cutting_list(commission: Commission, on: date) -> CuttingList:
    """The cutting list of a commission; about eight queries however large.

    Parts for which the rack has no stock stand in groups of their own. Raises NotReady when a part
    or a joint breaks its rules.
    """
    lines = breakdown(commission, current_times(commission.workshop))
    return CuttingList(
        shop=shop_of(commission.workshop),
        commission=lines.mark,
        title=lines.title,
        due_on=commission.due_on,
        on=on,
        groups=_groups(lines.assemblies, rack_of(commission.workshop)),
    )


def _groups(assemblies: Iterable[AssemblyLine], rack: Rack) -> tuple[SawnGroup, ...]:
    found: dict[tuple[str, float, Form], list[SawnPart]] = {}
    shares: dict[tuple[str, float, Form], float] = {}
    labels: dict[str, str] = {}
    for assembly in assemblies:
        for part in assembly.parts:
            form, thickness, share = _stock(part, rack)
            key = (part.species, thickness, form)
            found.setdefault(key, []).append(_sawn(part, assembly, form, rack))
            shares[key] = share
            labels[part.species] = part.species_label
    return tuple(
        _group(labels[species], thickness, form, parts, shares[species, thickness, form])
        for (species, thickness, form), parts in sorted(
            found.items(), key=lambda entry: (labels[entry[0][0]], entry[0][1], entry[0][2])
        )
    )


def _stock(part: PartLine, rack: Rack) -> tuple[Form, float, float]:
    """What a part is sawn from: its form, its thickness, and the share of it that is lost."""
    allowance = rack.allowance_for(part.species)
    usual = allowance.waste_share_of_gross
    sheet = rack.sheet_for(part.species, part.thickness_mm)
    if sheet:
        own = sheet.waste_share_of_gross
        return Form.SHEET, sheet.thickness_mm, usual if own is None else own
    needed = part.thickness_mm + allowance.thickness_mm
    try:
        board = rack.board_for(part.species, needed, what=part.name)
    except NotReady:
        return Form.MISSING, needed, usual
    own = board.waste_share_of_gross
    return Form.BOARD, board.thickness_mm, usual if own is None else own


def _sawn(part: PartLine, assembly: AssemblyLine, form: Form, rack: Rack) -> SawnPart:
    """A sheet keeps its thickness; all else is planed."""
    allowance = rack.allowance_for(part.species)
    planed = 0.0 if form is Form.SHEET else allowance.thickness_mm
    return SawnPart(
        part=part,
        assembly=assembly.name,
        rough_length_mm=part.length_mm + allowance.length_mm,
        rough_width_mm=part.width_mm + allowance.width_mm,
        rough_thickness_mm=part.thickness_mm + planed,
    )


def _group(
    species: str, thickness_mm: float, form: Form, parts: Iterable[SawnPart], lost: float
) -> SawnGroup:
    """The longest first, as they are sawn."""
    ordered = sorted(parts, key=lambda one: (-one.rough_length_mm, -one.rough_width_mm))
    rough_m3 = sum(part.rough_m2 for part in ordered) * thickness_mm / 1000
    return SawnGroup(
        species=species,
        form=form,
        thickness_mm=thickness_mm,
        parts=tuple(ordered),
        gross_m3=rough_m3 / (1 - lost),
    )
