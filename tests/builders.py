"""Rows with plain defaults, so that a test names only what it is about."""

from collections.abc import Sequence
from datetime import date, time
from decimal import Decimal
from itertools import count
from typing import Any

from costing.models import Board, Glue, LabourRate, MachineRate, RateEdition
from orders.core.stages import Stage
from orders.core.times import MACHINES, Skill
from orders.models import Assembly, Client, Commission, ExtraWork, Joint, Operation, Part
from orders.services.standards import first_edition
from shop.core.roles import Role
from shop.models import (
    Hand,
    HandSkill,
    Membership,
    Opening,
    Station,
    User,
    WorkingCalendar,
    Workshop,
)

NUMBERS = count(1)


def a_workshop(**more: Any) -> Workshop:
    """A workshop in Dublin that reckons in euro and millimetres."""
    return Workshop.objects.create(**{"name": f"Workshop {next(NUMBERS)}", **more})


def a_user(**more: Any) -> User:
    """A person with the password `oak and ash`."""
    return User.objects.create_user(
        **{"email": f"person{next(NUMBERS)}@example.test", "password": "oak and ash", **more}
    )


def a_member(workshop: Workshop, role: str = "owner", **more: Any) -> User:
    """A person who belongs to the workshop in that role; `membership` is set."""
    user = a_user(**more)
    user.membership = Membership.objects.create(workshop=workshop, user=user, role=Role(role))
    return user


def a_client(workshop: Workshop, **more: Any) -> Client:
    """A client."""
    return Client.objects.create(workshop=workshop, **{"name": f"Client {next(NUMBERS)}", **more})


def a_commission(workshop: Workshop, **more: Any) -> Commission:
    """An enquiry with nothing in it."""
    number = next(NUMBERS)
    defaults = {"title": f"Table {number}", "number": number}
    if "client" not in more:
        defaults["client"] = a_client(workshop)
    return Commission.objects.create(workshop=workshop, **{**defaults, **more})


def an_assembly(commission: Commission, **more: Any) -> Assembly:
    """An assembly of one."""
    return Assembly.objects.create(
        commission=commission, **{"name": f"Frame {next(NUMBERS)}", **more}
    )


def a_part(assembly: Assembly, **more: Any) -> Part:
    """An oak rail, 600 x 60 x 24 mm."""
    defaults = {
        "mark": f"P{next(NUMBERS)}",
        "name": "rail",
        "species": "oak-white",
        "length_mm": Decimal(600),
        "width_mm": Decimal(60),
        "thickness_mm": Decimal(24),
    }
    return Part.objects.create(assembly=assembly, **{**defaults, **more})


def a_joint(assembly: Assembly, **more: Any) -> Joint:
    """A mortise and tenon between two new parts."""
    defaults: dict[str, Any] = {"mark": f"J{next(NUMBERS)}", "type": "mortise-tenon"}
    for side, name in (("part_a", "stile"), ("part_b", "rail")):
        if side not in more:
            defaults[side] = a_part(assembly, name=name)
    return Joint.objects.create(assembly=assembly, **{**defaults, **more})


def extra_work(assembly: Assembly, **more: Any) -> ExtraWork:
    """Sanding."""
    return ExtraWork.objects.create(assembly=assembly, **{"operation": "sand", **more})


def an_order(workshop: Workshop, **more: Any) -> Commission:
    """A commission in work, with nothing released in it."""
    return a_commission(workshop, **{"stage": Stage.IN_WORK, **more})


def an_operation(order: Commission, *, after: Sequence[Operation] = (), **more: Any) -> Operation:
    """Four pieces at the bench, 5 minutes to set up and 10 for each; ready unless after others."""
    if "assembly" not in more:
        more["assembly"] = order.assemblies.first() or an_assembly(order)
    number = order.operations.count() + 1
    defaults = {
        "number": number,
        "code": "fit",
        "name": f"Fit {number}",
        "station_kind": "bench",
        "skill": "joinery",
        "pieces": 4,
        "setup_min": 5.0,
        "each_min": 10.0,
        "state": Operation.State.WAITING if after else Operation.State.READY,
    }
    operation = Operation.objects.create(commission=order, **{**defaults, **more})
    operation.after.set(after)
    return operation


def a_calendar(workshop: Workshop, **more: Any) -> WorkingCalendar:
    """Monday to Friday, 8 to 12 and 13 to 17."""
    calendar = WorkingCalendar.objects.create(workshop=workshop, **{"name": "Usual week", **more})
    Opening.objects.bulk_create(
        Opening(calendar=calendar, weekday=weekday, starts=time(start), ends=time(end))
        for weekday in range(5)
        for start, end in ((8, 12), (13, 17))
    )
    return calendar


def a_station(workshop: Workshop, **more: Any) -> Station:
    """A bench on a calendar of its own."""
    if "calendar" not in more:
        more["calendar"] = a_calendar(workshop)
    defaults = {"name": f"Bench {next(NUMBERS)}", "kind": "bench"}
    return Station.objects.create(workshop=workshop, **{**defaults, **more})


def a_hand(workshop: Workshop, *, skills: dict[str, int] | None = None, **more: Any) -> Hand:
    """A hand who is able in every skill named (all three unless told)."""
    if "calendar" not in more:
        more["calendar"] = a_calendar(workshop)
    hand = Hand.objects.create(workshop=workshop, **{"name": f"Hand {next(NUMBERS)}", **more})
    for skill, level in (skills or {"machining": 2, "joinery": 2, "finishing": 2}).items():
        HandSkill.objects.create(hand=hand, skill=skill, level=level)
    return hand


def rates_for(workshop: Workshop, **more: Any) -> RateEdition:
    """The next edition of the rate book: 40 an hour of labour, 20 of a machine, 20 % margin."""
    number = RateEdition.objects.of(workshop).count() + 1
    defaults = {
        "number": number,
        "valid_from": date(2020, 1, 1),
        "overhead_rate": Decimal(12),
        "profit_share": Decimal("0.2"),
        "tax_rate": Decimal(23),
    }
    edition = RateEdition.objects.create(workshop=workshop, **{**defaults, **more})
    LabourRate.objects.bulk_create(
        LabourRate(edition=edition, skill=skill, per_hour=Decimal(40)) for skill in Skill
    )
    MachineRate.objects.bulk_create(
        MachineRate(edition=edition, station_kind=kind, per_hour=Decimal(20)) for kind in MACHINES
    )
    return edition


def a_rack(workshop: Workshop, *species: str) -> None:
    """Boards of 27, 34, 52 and 80 mm of each species (white oak unless told), and a glue a class."""
    Board.objects.bulk_create(
        Board(
            workshop=workshop,
            species=code,
            thickness_mm=Decimal(thickness),
            price_per_m3=Decimal(3000),
        )
        for code in species or ("oak-white",)
        for thickness in (27, 34, 52, 80)
    )
    Glue.objects.bulk_create(
        Glue(
            workshop=workshop,
            name=f"Glue {name}",
            kind="pvac",
            durability_class=name,
            open_min=8,
            clamp_min=45,
            spread_g_per_m2=160,
            price_per_kg=Decimal(9),
        )
        for name in ("D1", "D2", "D3", "D4")
    )


def a_shop_that_can_price(**more: Any) -> Workshop:
    """A workshop with standard times, rates and a rack."""
    workshop = a_workshop(**more)
    first_edition(workshop)
    rates_for(workshop)
    a_rack(workshop)
    return workshop


FIRST_DAY = date(2026, 1, 5)
