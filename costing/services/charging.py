"""Charging orders: stock issued and returned, and what was bought for them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import transaction

from costing.core.jobcost import CHARGED, CostKind
from costing.models import Board, Charge, Glue, Quote, Sheet
from costing.services.quotations import RECKONING, Reckoning
from orders.core.errors import RuleBroken, RulesBroken
from orders.core.species import all_species
from orders.models import Assembly, Commission
from shop.models import User, Workshop

MOST = Decimal(1_000_000)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """Something of the rack that can be issued; `key` finds it again."""

    key: str
    kind: CostKind
    label: str
    unit: str
    price: Decimal


def wood_label(species: str, thickness_mm: float | Decimal) -> str:
    """A board or a sheet in words: White oak 27 mm."""
    known = all_species().get(species)
    return f"{known.label if known else species} {float(thickness_mm):g} mm"


def stock_of(workshop: Workshop) -> tuple[Stock, ...]:
    """Everything in the rack that can be issued."""
    boards = [
        Stock(
            key=f"board-{one.pk}",
            kind=CostKind.TIMBER,
            label=wood_label(one.species, one.thickness_mm),
            unit="m³",
            price=one.price_per_m3,
        )
        for one in Board.objects.of(workshop)
    ]
    sheets = [
        Stock(
            key=f"sheet-{one.pk}",
            kind=CostKind.TIMBER,
            label=wood_label(one.species, one.thickness_mm),
            unit="m²",
            price=one.price_per_m2,
        )
        for one in Sheet.objects.of(workshop)
    ]
    glues = [
        Stock(
            key=f"glue-{one.pk}",
            kind=CostKind.GLUE,
            label=one.name,
            unit="kg",
            price=one.price_per_kg,
        )
        for one in Glue.objects.of(workshop)
    ]
    return (*boards, *sheets, *glues)


@transaction.atomic
def charge(
    commission: Commission,
    *,
    kind: str,
    label: str,
    quantity: Decimal,
    on: date,
    by: User | None,
    unit: str = "",
    unit_price: Decimal | None = None,
    stock: str = "",
    assembly: Assembly | None = None,
    note: str = "",
) -> Charge:
    """Charge an order with a quantity, below 0 for what came back.

    `stock` names something of the rack and stands for kind, label, unit and, unless it is given,
    price. Raises RulesBroken for what cannot be.
    """
    found = {one.key: one for one in stock_of(commission.workshop)}.get(stock) if stock else None
    faults = []
    if stock and found is None:
        faults.append(RuleBroken("stock", "The rack has this no longer; choose again."))
    if found is not None:
        kind, label, unit = found.kind.value, found.label, found.unit
        unit_price = found.price if unit_price is None else unit_price
    faults += _faults(commission, kind, label, quantity, unit_price, on, assembly)
    if faults or unit_price is None:
        raise RulesBroken(faults)
    row: Charge = Charge.objects.create(
        commission=commission,
        assembly=assembly,
        kind=kind,
        label=label.strip(),
        unit=unit,
        quantity=quantity,
        unit_price=unit_price,
        quoted_price=_quoted_price(commission, label, unit, unit_price),
        on=on,
        note=note.strip(),
        by=by,
    )
    return row


def _faults(
    commission: Commission,
    kind: str,
    label: str,
    quantity: Decimal,
    unit_price: Decimal | None,
    on: date,
    assembly: Assembly | None,
) -> list[RuleBroken]:
    faults = []
    if kind not in {one.value for one in CHARGED}:
        faults.append(RuleBroken("kind", "Choose what kind of thing it is."))
    if not label.strip():
        faults.append(RuleBroken("label", "Say what it is, or choose it from the rack."))
    if not quantity or abs(quantity) > MOST:
        faults.append(RuleBroken("quantity", "Give a quantity; below 0 for what came back."))
    if unit_price is None or not 0 <= unit_price <= MOST:
        faults.append(RuleBroken("unit_price", "Give the price of a unit, 0 or more."))
    if on < commission.created_at.date():
        faults.append(RuleBroken("on", "The order did not exist on that day."))
    if assembly is not None and assembly.commission_id != commission.pk:
        faults.append(RuleBroken("assembly", "This assembly belongs to another order."))
    return faults


@transaction.atomic
def take_back(row: Charge, *, by: User | None, on: date) -> Charge:
    """Undo a charge by its opposite, so that both stay to be seen.

    Raises RuleBroken if that was done already.
    """
    if row.takes_back_id or Charge.objects.filter(takes_back=row).exists():
        raise RuleBroken("charge", "This charge was taken back already.")
    opposite: Charge = Charge.objects.create(
        commission=row.commission,
        assembly=row.assembly,
        kind=row.kind,
        label=row.label,
        unit=row.unit,
        quantity=-row.quantity,
        unit_price=row.unit_price,
        quoted_price=row.quoted_price,
        on=on,
        takes_back=row,
        by=by,
    )
    return opposite


def _quoted_price(commission: Commission, label: str, unit: str, price: Decimal) -> Decimal:
    """What the accepted quote reckoned a unit of it at; the price paid where it says nothing."""
    quote = Quote.objects.filter(commission=commission, state=Quote.State.ACCEPTED).first()
    if quote is None or "reckoning" not in quote.content:
        return price
    return quoted_prices(RECKONING.validate_python(quote.content["reckoning"])).get(
        (label, unit), price
    )


def quoted_prices(kept: Reckoning) -> dict[tuple[str, str], Decimal]:
    """The prices that a quote was reckoned with, by label and unit as the rack has them."""
    rack = kept.rack
    boards = {
        (wood_label(one.species, one.thickness_mm), "m³"): one.price_per_m3 for one in rack.boards
    }
    sheets = {
        (wood_label(one.species, one.thickness_mm), "m²"): one.price_per_m2 for one in rack.sheets
    }
    return {**boards, **sheets, **{(one.label, "kg"): one.price_per_kg for one in rack.glues}}
