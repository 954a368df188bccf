"""Scenarios of a shop: kept under their names, changed, and shown side by side."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Any
from zoneinfo import ZoneInfo

from django.db import transaction
from pydantic import Field, TypeAdapter

from orders.core.errors import NotNow, RuleBroken, RulesBroken
from orders.core.stages import Stage
from orders.core.times import Skill
from orders.models import Commission
from orders.services.shape import read_shape
from shop.core.scenario import (
    Away,
    Change,
    Hire,
    LeaveOut,
    Overtime,
    SecondStation,
    TakeOrder,
    faults_of,
)
from shop.models import WEEKDAYS, Hand, Scenario, Station, WorkingCalendar, Workshop

from . import disturbance
from .measures import Measures
from .promising import AHEAD

BASE = "As it stands"
MOST = 8
MOST_CHANGES = 12
LONGEST_NAME = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Supposition:
    """A document with what is supposed; the kind of each change says which it is."""

    changes: tuple[Annotated[Change, Field(discriminator="kind")], ...]


SUPPOSITION: TypeAdapter[Supposition] = TypeAdapter(Supposition)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderOutcome:
    """An order in a scenario; `chance` of being in time is in a hundred."""

    commission: int
    label: str
    due_on: date | None
    ends_at: datetime
    late_min: float
    chance: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome(Measures):
    """The owner's measures of a scenario that was planned; minutes.

    `more_min_a_week` is working time that the scenario adds or offers. `narrowest` is the hand, or
    the stations of a kind, with the most of its open time taken until all is done.
    """

    least_chance: int | None
    narrowest: str
    narrowest_percent: int
    more_min_a_week: float
    orders: tuple[OrderOutcome, ...]


OUTCOME: TypeAdapter[Outcome] = TypeAdapter(Outcome)


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One column: a scenario, what it supposes in words, what it came to.

    `is_outdated` where the shop or the scenario was changed since it was planned.
    """

    scenario: Scenario
    words: tuple[str, ...]
    outcome: Outcome | None
    is_outdated: bool

    def order(self, commission: int) -> OrderOutcome | None:
        """One order of it."""
        orders = self.outcome.orders if self.outcome else ()
        return next((each for each in orders if each.commission == commission), None)


def changes_of(scenario: Scenario) -> tuple[Change, ...]:
    """What a scenario supposes."""
    return SUPPOSITION.validate_python({"changes": scenario.changes}).changes


def read_changes(document: Any) -> tuple[Change, ...]:
    """The `changes` of a document.

    Raises RuleBroken or RulesBroken for what is none, each at its place.
    """
    return read_shape(SUPPOSITION, document).changes


@transaction.atomic
def add_scenario(workshop: Workshop, *, name: str, changes: Sequence[Change] = ()) -> Scenario:
    """Keep a set of changes under a name.

    Raises NotNow if there are as many as a shop can have; RuleBroken or RulesBroken for a name that
    is empty or taken, and for a change that this shop cannot suppose.
    """
    Workshop.objects.select_for_update().get(pk=workshop.pk)
    rows = Scenario.objects.of(workshop)
    if rows.filter(is_base=False).count() >= MOST:
        raise NotNow(f"There are {MOST} scenarios; remove one first.")
    row: Scenario = Scenario.objects.create(
        workshop=workshop,
        name=_named(workshop, name),
        changes=_stored(workshop, changes),
    )
    return row


@transaction.atomic
def change_scenario(
    scenario: Scenario,
    *,
    version: int | None = None,
    name: str | None = None,
    changes: Sequence[Change] | None = None,
) -> Scenario:
    """Rename it, or replace its changes.

    Raises NotNow for the shop as it stands, RuleBroken as for a new one, Stale if somebody else
    changed it meanwhile.
    """
    row: Scenario = Scenario.objects.select_for_update().get(pk=scenario.pk)
    row.require_version(version)
    _require_own(row)
    if name is not None:
        row.name = _named(row.workshop, name, but=row)
    if changes is not None:
        row.changes = _stored(row.workshop, changes)
    row.save_next()
    return row


def remove_scenario(scenario: Scenario, *, version: int | None = None) -> None:
    """Throw a scenario away.

    Raises NotNow for the shop as it stands, Stale if somebody else changed it meanwhile.
    """
    scenario.require_version(version)
    _require_own(scenario)
    scenario.delete()


def base_of(workshop: Workshop) -> Scenario:
    """The shop as it stands, which all others are compared with."""
    row: Scenario = Scenario.objects.get_or_create(
        workshop=workshop, is_base=True, defaults={"name": BASE}
    )[0]
    return row


def side_by_side(workshop: Workshop) -> list[Side]:
    """The shop as it stands first, where it was planned, then each scenario."""
    rows = list(Scenario.objects.of(workshop).select_related("compared_with"))
    changed_at = max(disturbance.changes(workshop))
    orders = _offered(workshop, rows)
    words = Words(workshop)
    sides = []
    for row in rows:
        changes = changes_of(row)
        taken = [
            orders[change.commission]
            for change in changes
            if isinstance(change, TakeOrder) and change.commission in orders
        ]
        sides.append(
            Side(
                scenario=row,
                words=tuple(words.of(change) for change in changes),
                outcome=OUTCOME.validate_python(row.outcome) if row.outcome else None,
                is_outdated=row.read_at is not None
                and (row.edition != row.version or max([changed_at, *taken]) > row.read_at),
            )
        )
    return sides


class Words:
    """Phrases for the changes of a workshop's scenarios."""

    def __init__(self, workshop: Workshop) -> None:
        self.zone = ZoneInfo(workshop.time_zone)
        self.hands = dict(Hand.objects.of(workshop).values_list("pk", "name"))
        self.stations = dict(Station.objects.of(workshop).values_list("pk", "name"))
        self.orders = {
            row.pk: f"{row.mark} {row.title}"
            for row in Commission.objects.of(workshop).filter(stage__in=[*AHEAD, Stage.IN_WORK])
        }

    def of(self, change: Change) -> str:
        """One phrase."""
        match change:
            case Hire():
                skills = ", ".join(change.skills)
                return f"{change.name} is hired ({skills})"
            case Overtime():
                who = self.hands.get(change.hand, "everybody") if change.hand else "everybody"
                return f"{who} may work {change.minutes} min more on {_days(change.weekdays)}"
            case SecondStation():
                return f"another {self.stations.get(change.station, 'station')}"
            case TakeOrder():
                return f"{self.orders.get(change.commission, 'an order')} is taken on"
            case LeaveOut():
                return f"{self.orders.get(change.commission, 'an order')} is left out"
            case Away():
                return self._away(change)

    def _away(self, change: Away) -> str:
        start, end = (at.astimezone(self.zone) for at in (change.starts_at, change.ends_at))
        until = f"{start:%-d %b %H:%M} to {end:%-d %b %H:%M}"
        if change.hand is not None:
            return f"{self.hands.get(change.hand, 'a hand')} is away {until}"
        return f"{self.stations.get(change.station or 0, 'a station')} stands still {until}"


def _days(weekdays: Iterable[int]) -> str:
    days = sorted(set(weekdays))
    if days == [0, 1, 2, 3, 4]:
        return "Monday to Friday"
    names = dict(WEEKDAYS)
    return ", ".join(names[day] for day in days)


def _offered(workshop: Workshop, rows: Iterable[Scenario]) -> dict[int, datetime]:
    """When each commission that a scenario takes on was last changed."""
    wanted = [
        change["commission"] for row in rows for change in row.changes if change["kind"] == "order"
    ]
    known = Commission.objects.of(workshop).filter(pk__in=wanted)
    return dict(known.values_list("pk", "changed_at"))


def _named(workshop: Workshop, name: str, but: Scenario | None = None) -> str:
    name = " ".join(name.split())
    if not name or len(name) > LONGEST_NAME:
        raise RuleBroken("name", f"Give it a name of at most {LONGEST_NAME} letters.")
    others = Scenario.objects.of(workshop).exclude(pk=but.pk if but else None)
    if name.casefold() in {row.name.casefold() for row in others} | {BASE.casefold()}:
        raise RuleBroken("name", f"There is a “{name}” already; give another name.")
    return name


def _stored(workshop: Workshop, changes: Sequence[Change]) -> list[dict[str, Any]]:
    if len(changes) > MOST_CHANGES:
        raise RuleBroken("changes", f"Suppose at most {MOST_CHANGES} changes at once.")
    faults = [
        fault.under(f"changes/{i}")
        for i, change in enumerate(changes)
        for fault in [*faults_of(change), *_unknown(workshop, change)]
    ]
    if faults:
        raise RulesBroken(faults)
    document = SUPPOSITION.dump_python(Supposition(changes=tuple(changes)), mode="json")
    stored: list[dict[str, Any]] = document["changes"]
    return stored


def _unknown(workshop: Workshop, change: Change) -> Iterable[RuleBroken]:
    """What a change names that this workshop does not have."""
    stages, sentence = (
        ([Stage.IN_WORK], "Choose a commission that is in work.")
        if isinstance(change, LeaveOut)
        else (AHEAD, "Choose a commission that is not in work yet.")
    )
    named = {
        "hand": (Hand.objects.of(workshop).filter(is_in_use=True), "Choose a hand who works here."),
        "station": (
            Station.objects.of(workshop).filter(is_in_use=True),
            "Choose a station that is in use.",
        ),
        "calendar": (WorkingCalendar.objects.of(workshop), "Choose hours of this workshop."),
        "commission": (
            Commission.objects.of(workshop).filter(stage__in=stages),
            sentence,
        ),
    }
    for field, (rows, wanted) in named.items():
        pk = getattr(change, field, None)
        if pk is not None and not rows.filter(pk=pk).exists():
            yield RuleBroken(field, wanted)
    if isinstance(change, Hire):
        for skill in sorted(set(change.skills) - set(Skill)):
            yield RuleBroken(f"skills/{skill}", f"Choose from {', '.join(Skill)}.")


def _require_own(scenario: Scenario) -> None:
    if scenario.is_base:
        raise NotNow("The shop as it stands is what the others are compared with; it stays.")
