"""The workshop of the demo before any work: stations, hours, rates and the rack."""

from datetime import date, time, timedelta
from decimal import Decimal
from typing import Any

from costing.management.demo.figures import rows
from costing.models import Board, Glue, Sheet, TimberAllowance
from costing.services.rack import add_item
from costing.services.rate_rows import PARTS
from costing.services.rates import new_edition
from shop.models import Hand, User, WorkingCalendar, Workshop
from shop.services.letterhead import change_letterhead
from shop.services.stations import add_station
from shop.services.workshops import found_workshop

TERMS = (
    "Timber is a natural material: colour and figure vary from"
    " board to board. Building work, stone and painting are not included. This workshop and all"
    " its figures are invented for the demo."
)

ACCOUNT = "IE35DEMO00000012345678"
"""An account at a bank that there is not, with check digits that are right."""


def found(owner: User) -> Workshop:
    """The workshop itself, in Dublin's time; outwork is collected on Thursdays, back on Tuesdays."""
    workshop = found_workshop(
        "Alder Quay Joinery (invented for the demo)",
        owner,
        currency="EUR",
        time_zone="Europe/Dublin",
        address="Alder Quay 9\nPortmarra",
        email="shop@alderquay.example",
        phone="01 555 0160",
        tax_number="IE0000000DEMO",
        quote_terms=TERMS,
        quote_valid_days=30,
        allows_minding=True,
        outwork_days=4,
        outwork_leaves_on=[3],
        outwork_leaves_at=time(10),
        outwork_returns_on=[1],
    )
    return change_letterhead(workshop, country="IE", iban=ACCOUNT, accent="#1f4d4a")


def equip(workshop: Workshop, calendar: WorkingCalendar) -> None:
    """Its benches and machines."""
    for place, row in enumerate(rows("stations"), start=1):
        add_station(
            workshop,
            name=row["name"],
            kind=row["kind"],
            calendar=calendar,
            places=int(row["places"]),
            position=place,
            area=row["area"],
            may_be_left=row["may_be_left"] == "yes",
        )


def set_rates(workshop: Workshop, owner: User, today: date) -> None:
    """Two editions of the rate book: last year's, and the one in force for two months.

    The newer one knows what each hand costs, and what some machines' rates add up from.
    """
    for column, days, note, more in (
        ("last_year", 430, "Invented for the demo", {}),
        ("this_year", 62, "Wages and current went up; invented for the demo", newer(workshop)),
    ):
        tables: dict[str, dict[str, Any]] = {"labour": {}, "machine": {}, "amount": {}}
        for row in rows("rates"):
            tables[row["table"]][row["name"]] = Decimal(row[column])
        new_edition(
            workshop,
            by=owner,
            valid_from=today - timedelta(days=days),
            labour=tables["labour"],
            machines=tables["machine"],
            note=note,
            **{**tables["amount"], **more},
        )


def newer(workshop: Workshop) -> dict[str, Any]:
    """What an hour of each hand costs, and the parts of machines' rates."""
    pay = {row["name"]: Decimal(row["per_hour"]) for row in rows("people") if row["per_hour"]}
    hands = Hand.objects.of(workshop).filter(name__in=pay)
    return {
        "hands": {hand.pk: pay[hand.name] for hand in hands},
        "build_ups": {
            row["kind"]: {name: Decimal(row[name]) for name in PARTS} for row in rows("machines")
        },
    }


def fill_rack(workshop: Workshop) -> None:
    """Boards, sheets, glues, and what is added to a finished size."""
    add_item(TimberAllowance, workshop)
    for row in rows("boards"):
        add_item(
            Board,
            workshop,
            species=row["species"],
            grade=row["grade"],
            thickness_mm=Decimal(row["thickness_mm"]),
            price_per_m3=Decimal(row["price_per_m3"]),
            waste_share_of_gross=Decimal(row["waste_share_of_gross"]),
            source=row["source"],
        )
    for row in rows("sheets"):
        add_item(
            Sheet,
            workshop,
            species=row["species"],
            thickness_mm=Decimal(row["thickness_mm"]),
            price_per_m2=Decimal(row["price_per_m2"]),
            waste_share_of_gross=Decimal(row["waste_share_of_gross"]),
            source=row["source"],
        )
    for row in rows("glues"):
        add_item(
            Glue,
            workshop,
            name=row["name"],
            kind=row["kind"],
            durability_class=row["durability_class"],
            open_min=float(row["open_min"]),
            clamp_min=float(row["clamp_min"]),
            spread_g_per_m2=float(row["spread_g_per_m2"]),
            price_per_kg=Decimal(row["price_per_kg"]),
            source=row["source"],
        )
