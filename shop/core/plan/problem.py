"""What is to be planned: tasks, the stations and hands that can do them, and their calendars."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import Literal

from shop.core.calendar import Calendar
from shop.core.plan.prices import Prices


class Goal(StrEnum):
    """What makes one plan better than another, before anything else."""

    LATENESS = "lateness"
    MAKESPAN = "makespan"


@dataclass(frozen=True, slots=True, kw_only=True)
class Resource:
    """A station, a hand, or counted gear such as clamps.

    A station with a capacity of two takes two tasks at a time. `skills` are levels of a hand.
    `station_kinds` are the kinds of work a station can stand in for. `family` is the set-up the
    station has now. Gear needs no calendar: it is held through the night. `overtime` names the
    calendar of hours beyond its own that may be offered at a price. `area` is the part of the
    workshop that a station stands in, "" for near nothing; one that `may_be_left` runs with a hand
    nearby.
    """

    key: str
    kind: Literal["station", "hand", "gear"]
    label: str = ""
    capacity: int = 1
    calendar: str = ""
    overtime: str = ""
    skills: Mapping[str, int] = field(default_factory=dict)
    station_kinds: tuple[str, ...] = ()
    family: str = ""
    area: str = ""
    may_be_left: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """Where people expect a task: they were given their work with it.

    Another station or hand, or a start more than a quarter of an hour off, counts as moved.
    """

    start: datetime
    station: str | None = None
    hands: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """When pieces that are sent away can leave and come back.

    They leave while the calendar `out` is open or as it closes, and are back when the calendar
    `back` is first open `days` days later: at 0 on the same day, else from the midnight on, by the
    clock of `out`.
    """

    out: str
    back: str
    days: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One piece of work.

    Stations: one of `stations`, or, where that is empty, any of `station_kind`; with neither the
    task needs no station. `minutes_on` holds for a station that is slower or faster. Hands:
    `hand_count` of `hands` that have all `skills` at the levels given; with no hands but with
    skills, of anybody who has them; with neither it is unattended. Without station and hand it runs
    by the wall clock, day and night, as curing does; or, with `away`, from when its pieces leave
    until they are back, and its minutes count for nothing.

    It starts `lag_min` (wall clock) after the last of `after` ends, at the earliest. With a
    `batch_share` below 1 it is handed work in batches: it may start that long after such a share of
    each is done, and does as large a share of its own after the last of them ends. `setup_min`
    is work added where the task before it on the station is of another family; a task without a
    family, without a station or on a station that takes several tasks always has it. `setup_after`
    are the minutes after a task of a certain family, where they differ from both. Breakable
    work pauses while its station or its hand is closed; other work must fit one opening. Gear is
    held from the start until `gear_hold_min` (wall clock) after the end.

    Light work may be done while a machine nearby is minded, where the problem allows that.

    `minutes` are those to be expected; `spread` is the standard deviation of the logarithm of the
    time it will really take, 0 for one that is certain.

    A task under way goes first on its station and hand, without set-up, for the share that is not
    done; what had to come before it is taken as done.
    """

    key: str
    label: str = ""
    minutes: float
    spread: float = 0.0
    stations: tuple[str, ...] = ()
    station_kind: str = ""
    minutes_on: Mapping[str, float] = field(default_factory=dict)
    hands: tuple[str, ...] = ()
    skills: Mapping[str, int] = field(default_factory=dict)
    hand_count: int = 1
    gear: Mapping[str, int] = field(default_factory=dict)
    gear_hold_min: float = 0.0
    after: tuple[str, ...] = ()
    lag_min: float = 0.0
    away: Away | None = None
    batch_share: float = 1.0
    family: str = ""
    setup_min: float = 0.0
    setup_after: Mapping[str, float] = field(default_factory=dict)
    release: datetime | None = None
    order: str = ""
    breakable: bool = True
    is_light: bool = False
    pinned_start: datetime | None = None
    pinned_station: str | None = None
    pinned_hand: str | None = None
    told: Told | None = None
    under_way: bool = False
    done_share: float = 0.0

    def work_min(self, station: str | None) -> float:
        """Minutes that are left to do on a station, without set-up."""
        minutes = self.minutes if station is None else self.minutes_on.get(station, self.minutes)
        return minutes * (1 - self.done_share)

    @property
    def name(self) -> str:
        """How a sentence calls the task."""
        return self.label or self.key


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What is due when; a heavier order hurts more for each minute it is late.

    An order that is begun has been in progress since before `now`.
    """

    key: str
    label: str = ""
    due: datetime | None = None
    weight: float = 1.0
    is_begun: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """A whole shop to plan from `now` on.

    Nothing is planned after `horizon` (two years when not given). A task that is moved from where
    people were told counts as much as `move_price` weighted minutes late, and every other measure
    what `prices` says, unless the goal is the makespan. Where prices only put measures one after
    another, `weights` are those by which an owner weighs one against another. Times are laid on
    whole steps of `tick_min` minutes; work is rounded up to them.

    A hand does one task at a time. With `allows_minding` it may, beside one light task of its own,
    mind one run on a station of the same area that may be left; work of several hands is neither.
    """

    now: datetime
    horizon: datetime | None = None
    tick_min: int = 1
    goal: Goal = Goal.LATENESS
    move_price: float = 0.0
    prices: Prices = field(default_factory=Prices)
    weights: Prices | None = None
    calendars: Mapping[str, Calendar] = field(default_factory=dict)
    resources: tuple[Resource, ...] = ()
    tasks: tuple[Task, ...] = ()
    orders: tuple[Order, ...] = ()
    allows_minding: bool = False
