"""Stations and hands: what the shop can work with."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from orders.core.errors import NotNow, RuleBroken, RulesBroken
from orders.core.times import Skill, StationKind
from orders.models.owned import OwnedQuerySet
from shop.models import Clocking, Hand, HandSkill, Membership, Station, WorkingCalendar, Workshop

LEVELS = (1, 2, 3)
STATION_FIELDS = {
    "name",
    "kind",
    "calendar",
    "places",
    "is_in_use",
    "position",
    "area",
    "may_be_left",
}


@transaction.atomic
def add_station(
    workshop: Workshop,
    *,
    name: str,
    kind: str,
    calendar: WorkingCalendar,
    places: int = 1,
    position: int = 0,
    area: str = "",
    may_be_left: bool = False,
) -> Station:
    """A new bench or machine.

    Raises RuleBroken for an unknown kind, a name already used, somebody else's calendar, or where
    it may be left running and is no machine or stands nowhere.
    """
    station = Station(
        workshop=workshop,
        name=name.strip(),
        kind=kind,
        calendar=calendar,
        places=places,
        position=position,
        area=area.strip(),
        may_be_left=may_be_left,
    )
    _place(station)
    _require_station(station)
    station.save()
    return station


@transaction.atomic
def change_station(station: Station, *, version: int | None = None, **fields: Any) -> Station:
    """Change a station; one that is out of use is planned no more.

    Raises RuleBroken as for a new one, Stale if somebody else changed it meanwhile.
    """
    station = Station.objects.select_for_update().get(pk=station.pk)
    station.require_version(version)
    set_fields(station, fields, STATION_FIELDS)
    _place(station)
    _require_station(station)
    station.save_next()
    return station


@transaction.atomic
def add_hand(
    workshop: Workshop,
    *,
    name: str,
    calendar: WorkingCalendar,
    skills: Mapping[str, int],
    membership: Membership | None = None,
) -> Hand:
    """A new hand with skills and their levels (1 learning, 2 able, 3 master).

    Raises RuleBroken for an unknown skill or level, a name already used, or somebody else's
    calendar or member.
    """
    hand = Hand(workshop=workshop, name=name.strip(), calendar=calendar, membership=membership)
    _require_hand(hand)
    _require_skills(skills)
    hand.save()
    _store_skills(hand, skills)
    return hand


@transaction.atomic
def change_hand(
    hand: Hand,
    *,
    version: int | None = None,
    skills: Mapping[str, int] | None = None,
    **fields: Any,
) -> Hand:
    """Change a hand; skills, where given, replace those there were.

    Raises RuleBroken as for a new one, NotNow if a hand who is clocked on would leave, Stale if
    somebody else changed it meanwhile.
    """
    hand = Hand.objects.select_for_update(of=("self",)).get(pk=hand.pk)
    hand.require_version(version)
    set_fields(hand, fields, {"name", "calendar", "membership", "is_in_use"})
    _require_hand(hand)
    if not hand.is_in_use and Clocking.objects.running().filter(hand=hand).exists():
        raise NotNow(f"{hand} is clocked on. Pause that work first.")
    if skills is not None:
        _require_skills(skills)
        _store_skills(hand, skills)
    hand.save_next()
    return hand


def areas_of(stations: OwnedQuerySet) -> list[str]:
    """The areas in which stations stand, in alphabetical order."""
    named = stations.exclude(area="").order_by("area")
    return list(named.values_list("area", flat=True).distinct())


def set_fields(row: Any, fields: Mapping[str, Any], allowed: set[str]) -> None:
    """Set what may be set; an unknown name is a bug of the caller."""
    unknown = set(fields) - allowed
    if unknown:
        raise TypeError(f"{type(row).__name__} has no {', '.join(sorted(unknown))} to change.")
    for name, value in fields.items():
        setattr(row, name, value.strip() if isinstance(value, str) else value)


def require_valid(row: Any) -> None:
    """Raise what the table itself refuses, as broken rules."""
    try:
        row.full_clean()
    except ValidationError as error:
        faults = [
            RuleBroken("" if field == "__all__" else field, message)
            for field, messages in error.message_dict.items()
            for message in messages
        ]
        raise faults[0] if len(faults) == 1 else RulesBroken(faults) from None


def _place(station: Station) -> None:
    """Spells its area as other stations do: capitals and spaces make no second one."""
    area = " ".join(station.area.split())
    others = Station.objects.of(station.workshop).exclude(pk=station.pk)
    known = (a for a in areas_of(others) if a.casefold() == area.casefold())
    station.area = next(known, area) if area else ""


def _require_station(station: Station) -> None:
    if station.kind not in set(StationKind):
        raise RuleBroken("kind", f"A station's kind is one of {', '.join(StationKind)}.")
    if station.kind == StationKind.OUTWORK:
        raise RuleBroken("kind", "Outwork is done elsewhere and needs no station; choose a kind.")
    if station.places < 1:
        raise RuleBroken("places", "A station takes at least one operation.", nearest=1)
    if station.may_be_left and not StationKind(station.kind).is_machine:
        raise RuleBroken(
            "may_be_left", "Only a machine runs while its hand does something else; take this away."
        )
    if station.may_be_left and not station.area:
        raise RuleBroken("area", "Say where it stands; light work is done in the same area.")
    _require_calendar(station)
    require_valid(station)


def _require_hand(hand: Hand) -> None:
    _require_calendar(hand)
    if hand.membership is not None and hand.membership.workshop_id != hand.workshop_id:
        raise RuleBroken("membership", "This person does not belong to the workshop.")
    require_valid(hand)


def _require_calendar(row: Station | Hand) -> None:
    if row.calendar.workshop_id != row.workshop_id:
        raise RuleBroken("calendar", "Choose one of the workshop's own calendars.")
    if row.is_in_use and not row.calendar.openings.filter(is_overtime=False).exists():
        raise RuleBroken(
            "calendar",
            f"The calendar “{row.calendar}” has no working hour. Give it opening hours first.",
        )


def _require_skills(skills: Mapping[str, int]) -> None:
    for skill, level in skills.items():
        if skill not in set(Skill):
            raise RuleBroken("skills", f"A skill is one of {', '.join(Skill)}; not “{skill}”.")
        if level not in LEVELS:
            raise RuleBroken("skills", "The level of a skill is 1 learning, 2 able or 3 master.")


def _store_skills(hand: Hand, skills: Mapping[str, int]) -> None:
    hand.skills.all().delete()
    HandSkill.objects.bulk_create(
        HandSkill(hand=hand, skill=skill, level=level) for skill, level in skills.items()
    )
