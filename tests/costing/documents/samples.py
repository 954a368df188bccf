"""A paper of every kind, made from plain values and rows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from costing.core.invoice import Invoice, InvoiceKind, InvoiceLine, Preceding
from costing.core.money import TaxedAmount, TaxGroup
from costing.core.offer import Adjustment, totals_of
from costing.core.quotation import Party, Quotation, QuotedItem
from costing.documents.cost_sheet import Costed, cost_sheet_pdf
from costing.documents.cutting_list import cutting_list_pdf
from costing.documents.day_sheet import day_sheets_pdf
from costing.documents.invoice import invoice_pdf
from costing.documents.job_sheet import job_sheets_pdf
from costing.documents.quotation import quotation_pdf
from costing.documents.wall_chart import wall_chart_pdf
from costing.services.estimating import estimate_for
from costing.services.job_sheets import job_sheets
from costing.services.papers import shop_of
from costing.services.sawing import cutting_list
from costing.services.wall import wall
from orders.core.language import Language
from orders.core.stages import Stage
from orders.models import Commission
from orders.services.release import release
from shop.models import Booking, Plan, Station
from shop.services.days import day_sheet
from tests.builders import (
    a_calendar,
    a_commission,
    a_hand,
    a_joint,
    a_part,
    a_shop_that_can_price,
    a_station,
    an_assembly,
    an_operation,
    an_order,
    extra_work,
)

SHOP = "Carrick and Daughters"
ON = date(2026, 1, 5)
NOW = datetime(2026, 1, 5, 9, 30, tzinfo=UTC)


def address(operation: int) -> str:
    """The clock page of an operation, as a code has it."""
    return f"https://trenail.example/clock/{operation}/"


def a_quotation(count: int = 3, **more: Any) -> Quotation:
    """So many items at 1 250.40 each, with 23 % of tax."""
    items = tuple(
        QuotedItem(label=f"Seat frame {number}", quantity=number, net=Decimal("1250.40"))
        for number in range(1, count + 1)
    )
    net = sum((item.net for item in items), Decimal(0))
    tax = (net * Decimal("0.23")).quantize(Decimal("0.01"))
    plain = {
        "number": "0417",
        "revision": 2,
        "title": "Oak hall bench",
        "currency": "EUR",
        "seller": Party(name=SHOP, address="14 Mill Lane\nDublin 8", email="office@carrick.test"),
        "client": Party(name="Ballymore House", address="Co. Wicklow"),
        "items": items,
        "net": net,
        "tax_name": "VAT",
        "taxes": (TaxGroup(category="S", rate=Decimal(23), taxable=net, tax=tax),),
        "tax": tax,
        "gross": net + tax,
        "issued_on": date(2026, 4, 15),
        "valid_until": date(2026, 5, 15),
        "due_on": date(2026, 6, 30),
        "timber": "white oak",
        "exposure": "Dry interior",
        "glue": "White glue, durability class D2 of EN 204",
        "terms": "Half on acceptance, half on delivery.",
    }
    return Quotation(**{**plain, **more})


def an_invoice(**more: Any) -> Invoice:
    """The last invoice of an order: three rates of tax, a return, a discount and a charge."""
    lines = tuple(
        InvoiceLine(label=label, quantity=Decimal(count), net=Decimal(net), tax_rate=Decimal(tax))
        for label, count, net, tax in (
            ("Hall bench", 2, "1000.01", "23"),
            ("Old bench taken back", -1, "-33.33", "13.5"),
            ("Care leaflet", 2, "70.00", "0"),
        )
    )
    adjustments = (
        Adjustment(label="Second order", amount=Decimal(-50), tax_rate=Decimal(23)),
        Adjustment(label="Delivery", amount=Decimal(50), tax_rate=Decimal("13.5")),
    )
    taxed = [TaxedAmount(amount=line.net, rate=line.tax_rate) for line in lines]
    totals = totals_of(taxed, adjustments, "EUR")
    plain = {
        "number": "2026-0007",
        "kind": InvoiceKind.FINAL,
        "issued_on": date(2026, 6, 30),
        "due_on": date(2026, 7, 14),
        "language": Language.EN,
        "currency": "EUR",
        "order": "0417",
        "title": "Oak hall bench",
        "seller": Party(
            name=SHOP,
            address="14 Mill Lane\nDublin 8",
            email="office@carrick.test",
            tax_number="IE1234567FA",
            country="IE",
        ),
        "client": Party(name="Ballymore House", address="Co. Wicklow", country="IE"),
        "stage": "On delivery",
        "percent": Decimal(60),
        "lines": lines,
        "adjustments": adjustments,
        "totals": replace(totals, prepaid=Decimal(500), due=totals.gross - 500),
        "tax_name": "VAT",
        "iban": "IE29AIBK93115212345678",
        "earlier": (Preceding(number="2026-0003", issued_on=date(2026, 4, 20), due=Decimal(500)),),
    }
    return Invoice(**{**plain, **more})


def a_bench(**shop: Any) -> Commission:
    """An accepted commission: a bench, and within it two seat frames with two kinds of joint."""
    workshop = a_shop_that_can_price(**{"name": SHOP, **shop})
    bench = a_commission(
        workshop, title="Oak hall bench", number=417, stage=Stage.ACCEPTED, due_on=ON
    )
    whole = an_assembly(bench, name="Hall bench")
    a_part(whole, mark="P9", name="seat board")
    extra_work(whole, operation="plane-up")
    frame = an_assembly(bench, name="Seat frame", parent=whole, quantity=2)
    leg = a_part(
        frame, mark="P1", name="leg", length_mm=720, width_mm=70, thickness_mm=45, quantity=4
    )
    rail = a_part(frame, mark="P2", name="seat rail", length_mm=1260, width_mm=95, thickness_mm=45)
    a_joint(frame, mark="J1", part_a=leg, part_b=rail, count=4)
    a_joint(frame, mark="J2", part_a=leg, part_b=rail, type="dowel", method="hand")
    return bench


def released(bench: Commission) -> Commission:
    """The same commission, gone to the bench."""
    release(bench, by=None)
    bench.refresh_from_db()
    return bench


def a_planned_shop(stations: int = 2, orders: int = 2, **shop: Any) -> Plan:
    """Stations and two hands with a morning's work each, a plan in force, one order late."""
    workshop = a_shop_that_can_price(**{"name": SHOP, "time_zone": "UTC", **shop})
    week = a_calendar(workshop)
    benches = [
        a_station(workshop, name=f"Bench {number}", calendar=week)
        for number in range(1, stations + 1)
    ]
    hands = [a_hand(workshop, name=name, calendar=week) for name in ("Ines", "Tom")]
    plan = Plan.objects.create(
        workshop=workshop,
        number=7,
        state=Plan.State.ADOPTED,
        made_at=NOW,
        read_at=NOW,
        method="earliest due date",
    )
    for number in range(orders):
        order = an_order(workshop, title=f"Order {number}", due_on=ON - timedelta(days=1))
        starts = datetime(2026, 1, 5 + number % 5, 10, tzinfo=UTC)
        ends = starts + timedelta(hours=1)
        Booking.objects.create(
            plan=plan,
            operation=an_operation(
                order, name=f"Fit the seat {number}", hold_to="Close", caution="sharp-edge"
            ),
            station=benches[number % stations],
            hand=hands[number % 2],
            starts_at=starts,
            ends_at=ends,
            stretches=[[starts.isoformat(), ends.isoformat()]],
        )
    return plan


def mind_a_router(plan: Plan) -> None:
    """Has whoever works first mind a router meanwhile, in the same hall."""
    first = plan.bookings.order_by("pk").first()
    Station.objects.filter(pk=first.station_id).update(area="hall")
    router = a_station(plan.workshop, name="Router", kind="router", area="hall", may_be_left=True)
    Booking.objects.create(
        plan=plan,
        operation=an_operation(first.operation.commission, name="Rout"),
        station=router,
        hand=first.hand,
        starts_at=first.starts_at,
        ends_at=first.ends_at,
        stretches=first.stretches,
    )


def a_job_sheet() -> bytes:
    """The job sheets of a released bench."""
    return job_sheets_pdf(job_sheets(released(a_bench()), ON, address))


def a_cutting_list() -> bytes:
    """The cutting list of a bench."""
    return cutting_list_pdf(cutting_list(a_bench(), ON))


def a_day_sheet() -> bytes:
    """The day of one hand."""
    plan = a_planned_shop()
    hand = plan.bookings.order_by("pk").first().hand
    return day_sheets_pdf([day_sheet(hand, ON)], shop_of(plan.workshop), address)


def a_wall_chart() -> bytes:
    """The week of a small shop."""
    return wall_chart_pdf(wall(a_planned_shop(), ON, now=NOW))


def a_cost_sheet() -> bytes:
    """What the price of a bench is made of."""
    bench = a_bench()
    costed = Costed(
        mark="0417-1",
        title=bench.title,
        client="Ballymore House",
        estimate=estimate_for(bench, ON),
        standard_edition=1,
        rate_edition=1,
        tax_name="VAT",
        made_on=ON,
    )
    return cost_sheet_pdf(costed, shop_of(bench.workshop))


SAMPLES: Mapping[Callable[..., bytes], Callable[[], bytes]] = {
    quotation_pdf: lambda: quotation_pdf(a_quotation()),
    invoice_pdf: lambda: invoice_pdf(an_invoice()),
    job_sheets_pdf: a_job_sheet,
    cutting_list_pdf: a_cutting_list,
    cost_sheet_pdf: a_cost_sheet,
    day_sheets_pdf: a_day_sheet,
    wall_chart_pdf: a_wall_chart,
}
"""How to print one of each paper."""
