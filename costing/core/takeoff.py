"""Timber and glue lines: part by part, from finished size through rough size to the price."""

from dataclasses import dataclass
from decimal import Decimal

from costing.core.breakdown import Assembly, EstimateInput
from costing.core.glue import glue_g
from costing.core.lines import Draft
from costing.core.rack import Board, Rack, Sheet
from costing.core.stock import Allowance, PartSize, RoughSize, rough_size
from costing.core.tally import Tally
from costing.core.workings import plain

MM2_PER_M2 = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class TimberNeed:
    """What must be bought of one species and thickness; a sheet also has an area."""

    species: str
    thickness_mm: float
    net_m3: float
    rough_m3: float
    gross_m3: float
    sheet_m2: float = 0.0


@dataclass(frozen=True, slots=True)
class _Share:
    """One part's finished, rough and gross amount of stock, in the unit that it is priced by."""

    net: float
    rough: float
    gross: float
    unit: str
    price: Decimal
    stock: str
    spread: float
    need: TimberNeed


def timber_drafts(
    commission: EstimateInput, rack: Rack, tallies: dict[str, Tally], currency: str
) -> tuple[Draft, tuple[TimberNeed, ...]]:
    """The timber line and the list of what to buy; books every part on its assembly.

    Raises NotReady when the rack lacks a species or a thickness.
    """
    assemblies = []
    needs: dict[tuple[str, float, bool], TimberNeed] = {}
    for assembly in commission.assemblies:
        drafts = []
        for part in assembly.parts:
            share = _share(part, assembly.quantity, rack)
            draft = _part_draft(f"timber/{assembly.key}/{part.key}", part, share, currency)
            drafts.append(draft)
            tallies[assembly.key].add_cost(draft.exact, spread=share.spread)
            _book(needs, share.need)
        if drafts:
            key, words = f"timber/{assembly.key}", f"{assembly.quantity} off"
            assemblies.append(Draft(key, assembly.label, words, children=drafts))
    return Draft("timber", "Timber", children=assemblies), tuple(needs.values())


def glue_drafts(
    commission: EstimateInput, rack: Rack, tallies: dict[str, Tally], currency: str
) -> Draft:
    """The glue line, joint by joint; raises NotReady when no glue in the rack is good enough."""
    by_key: dict[str, Assembly] = {assembly.key: assembly for assembly in commission.assemblies}
    groups: dict[str, list[Draft]] = {}
    for area in commission.glue:
        assembly = by_key[area.assembly]
        glue = rack.glue_for(area.glue_class, area.adhesive)
        whole = area.area_mm2 * assembly.quantity
        grams = glue_g(whole, glue.spread_g_per_m2) / (1 - glue.waste_share_of_gross)
        words = (
            f"{glue.label} ({glue.durability_class}): {whole / 100:.1f} cm2 at "
            f"{glue.spread_g_per_m2:g} g/m2{_waste(glue.waste_share_of_gross)} = {grams:.2f} g at "
            f"{plain(glue.price_per_kg, currency)} per kg"
        )
        key = f"glue/{area.assembly}/{area.key}"
        draft = Draft(key, area.label, words, _decimal(grams) * glue.price_per_kg / 1000)
        groups.setdefault(area.assembly, []).append(draft)
        tallies[area.assembly].add_cost(draft.exact)
    return Draft(
        "glue",
        "Glue",
        children=[
            Draft(f"glue/{key}", by_key[key].label, f"{by_key[key].quantity} off", children=drafts)
            for key, drafts in groups.items()
        ],
    )


def _share(part: PartSize, assemblies: int, rack: Rack) -> _Share:
    allowance = rack.allowance_for(part.species)
    sheet = rack.sheet_for(part.species, part.thickness_mm)
    if sheet:
        return _sheet_share(part, assemblies, sheet, allowance)
    needed_mm = part.thickness_mm + allowance.thickness_mm
    board = rack.board_for(part.species, needed_mm, what=part.label)
    waste = _waste_share(board, allowance)
    rough = rough_size(part, allowance, [board.thickness_mm])
    rough_m3 = rough.rough_m3 * assemblies
    need = TimberNeed(
        species=part.species,
        thickness_mm=board.thickness_mm,
        net_m3=rough.net_m3 * assemblies,
        rough_m3=rough_m3,
        gross_m3=rough_m3 / (1 - waste),
    )
    grade = f" {board.grade}" if board.grade else ""
    return _Share(
        net=need.net_m3,
        rough=need.rough_m3,
        gross=need.gross_m3,
        unit="m3",
        price=board.price_per_m3,
        stock=f"{_sawn(rough, assemblies)}, from {board.thickness_mm:g} mm {board.species}{grade}",
        spread=board.spread,
        need=need,
    )


def _sheet_share(part: PartSize, assemblies: int, sheet: Sheet, allowance: Allowance) -> _Share:
    count = part.quantity * assemblies
    length, width = part.length_mm + allowance.length_mm, part.width_mm + allowance.width_mm
    net_m2 = part.length_mm * part.width_mm * count / MM2_PER_M2
    rough_m2 = length * width * count / MM2_PER_M2
    gross_m2 = rough_m2 / (1 - _waste_share(sheet, allowance))
    thickness_m = sheet.thickness_mm / 1000
    return _Share(
        net=net_m2,
        rough=rough_m2,
        gross=gross_m2,
        unit="m2",
        price=sheet.price_per_m2,
        stock=f"{count} x {length:g} x {width:g} mm, from {sheet.thickness_mm:g} mm {sheet.species}",
        spread=sheet.spread,
        need=TimberNeed(
            species=part.species,
            thickness_mm=sheet.thickness_mm,
            net_m3=net_m2 * thickness_m,
            rough_m3=rough_m2 * thickness_m,
            gross_m3=gross_m2 * thickness_m,
            sheet_m2=gross_m2,
        ),
    )


def _part_draft(key: str, part: PartSize, share: _Share, currency: str) -> Draft:
    """A part as three lines: what stays in it, what is planed and cut off, and what is waste."""
    price = f"at {plain(share.price, currency)} per {share.unit}"
    steps = (
        ("finished", "Finished size", share.net),
        ("allowance", "Allowances and planing", share.rough - share.net),
        ("waste", "Waste of conversion", share.gross - share.rough),
    )
    return Draft(
        key,
        part.label,
        f"{share.stock}: {share.gross:.6f} {share.unit} {price}",
        children=[
            Draft(
                f"{key}/{step}",
                label,
                f"{amount:.6f} {share.unit} {price}",
                _decimal(amount) * share.price,
            )
            for step, label, amount in steps
            if amount or step == "finished"
        ],
    )


def _sawn(rough: RoughSize, assemblies: int) -> str:
    return (
        f"{rough.quantity * assemblies} x {rough.length_mm:g} x {rough.width_mm:g} x "
        f"{rough.thickness_mm:g} mm sawn"
    )


def _book(needs: dict[tuple[str, float, bool], TimberNeed], need: TimberNeed) -> None:
    key = (need.species, need.thickness_mm, bool(need.sheet_m2))
    held = needs.get(key)
    if held:
        need = TimberNeed(
            species=need.species,
            thickness_mm=need.thickness_mm,
            net_m3=held.net_m3 + need.net_m3,
            rough_m3=held.rough_m3 + need.rough_m3,
            gross_m3=held.gross_m3 + need.gross_m3,
            sheet_m2=held.sheet_m2 + need.sheet_m2,
        )
    needs[key] = need


def _waste_share(stock: Board | Sheet, allowance: Allowance) -> float:
    own = stock.waste_share_of_gross
    return allowance.waste_share_of_gross if own is None else own


def _waste(share: float) -> str:
    return f" and {share * 100:g} % waste of gross" if share else ""


def _decimal(amount: float) -> Decimal:
    return Decimal(repr(round(amount, 9)))
