"""When outwork of a workshop goes out and comes back: its days and hours, less what is closed."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from orders.core.errors import NotReady, RuleBroken
from shop.core.calendar import HORIZON, Calendar, Shift
from shop.core.plan.problem import Away
from shop.core.plan.trips import trip_from
from shop.models import WEEKDAYS, Hand, Workshop

from .weeks import Weeks

OUT, BACK = "outwork goes out", "outwork comes back"
ROUNDS = (
    "outwork_leaves_on",
    "outwork_leaves_at",
    "outwork_returns_on",
    "outwork_returns_at",
)
"""The settings that name days and hours."""


@dataclass(frozen=True, slots=True)
class Outwork:
    """The calendars by which pieces are sent away and come back, and for how many days."""

    away: Away
    calendars: dict[str, Calendar]

    @classmethod
    def of(cls, workshop: Workshop, since: datetime) -> Outwork:
        """As the settings have it, with what is closed after an instant."""
        return cls.by(workshop, Weeks.of(workshop, since), _followed(workshop))

    @classmethod
    def by(cls, workshop: Workshop, weeks: Weeks, followed: Collection[int]) -> Outwork:
        """The same, from weeks that have been read already and those that the hands follow."""
        shifts = list(_open_hours(weeks, followed))
        sent, brought = workshop.outwork_leaves_at, workshop.outwork_returns_at
        closed = weeks.closures_of_all()
        calendars = {
            key: Calendar(
                timezone=workshop.time_zone,
                weekly=tuple(_rounds(shifts, days, at)),
                closures=closed,
            )
            for key, days, at in [
                (OUT, workshop.outwork_leaves_on, sent),
                (BACK, workshop.outwork_returns_on, brought),
            ]
        }
        return cls(Away(out=OUT, back=BACK, days=workshop.outwork_days), calendars)

    def trip(self, ready: datetime) -> tuple[datetime, datetime]:
        """When pieces that are ready at an instant go out, and when they are back.

        Without a day to come back on, they are away for their days as if all were open.
        """
        days = timedelta(days=self.away.days)
        return trip_from(ready, self.away, self.calendars) or (ready, ready + days)

    def require_days(self, now: datetime) -> None:
        """Raises NotReady if nothing could ever be sent or come back."""
        for key, verb in [(OUT, "goes out"), (BACK, "comes back")]:
            try:
                self.calendars[key].require_hours(now, now + HORIZON)
            except RuleBroken:
                raise NotReady(
                    f"Outwork never {verb}: the workshop is never open on the days and at the hour "
                    "that the settings name. Tick another day, or give another hour."
                ) from None


def goes_away(workshop: Workshop) -> bool:
    """Whether outwork is held at all before what follows it."""
    return bool(workshop.outwork_days or any(getattr(workshop, name) for name in ROUNDS))


def require_rounds(workshop: Workshop) -> None:
    """Raises RuleBroken for days or hours at which nothing can be sent or come back."""
    for field in ("outwork_leaves_on", "outwork_returns_on"):
        days = getattr(workshop, field)
        if not isinstance(days, list) or set(days) - set(range(7)) or len(set(days)) < len(days):
            raise RuleBroken(field, "Name each weekday once, as a number from 0 to 6.")
    sent, brought = workshop.outwork_leaves_at, workshop.outwork_returns_at
    if workshop.outwork_days == 0 and sent and brought and brought <= sent:
        raise RuleBroken(
            "outwork_returns_at",
            f"What goes out at {sent:%H:%M} and is back on the same day comes back later than that;"
            " give a later hour, or let it be away for a day.",
        )
    if workshop.pk is None:
        return
    if not any(getattr(workshop, name) for name in ROUNDS):
        return
    shifts = list(_open_hours(Weeks(workshop, ()), _followed(workshop)))
    for way in ("leaves", "returns"):
        on, at = (getattr(workshop, f"outwork_{way}_{what}") for what in ("on", "at"))
        if shifts and (on or at) and not [*_rounds(shifts, on, at)]:
            days = _listed(on) if on else "any day"
            hour = f" at {at:%H:%M}" if at else ""
            raise RuleBroken(
                f"outwork_{way}_{'at' if at else 'on'}",
                f"The workshop is not open on {days}{hour}; choose when somebody is there.",
            )


def _followed(workshop: Workshop) -> set[int]:
    """The weeks that hands follow."""
    hands = Hand.objects.of(workshop).filter(is_in_use=True)
    return set(hands.values_list("calendar", flat=True))


def _open_hours(weeks: Weeks, followed: Collection[int]) -> Iterable[Shift]:
    """The regular hours of all who work here; of every week where nobody does."""
    for pk in sorted(set(followed) or weeks.weeks):
        yield from weeks.week(pk).weekly


def _rounds(shifts: Iterable[Shift], days: Iterable[int], at: time | None) -> Iterable[Shift]:
    """The hours on the days named, of all where none is; with an hour, only its minute."""
    named = set(days) or set(range(7))
    shown = [shift for shift in shifts if shift.weekday in named]
    if at is None:
        yield from shown
        return
    minute = at.hour * 60 + at.minute
    begin, until = (time(m // 60 % 24, m % 60) for m in (minute, minute + 1))
    for day in sorted({s.weekday for s in shown if s.start <= at <= s.end}):
        yield Shift(weekday=day, start=begin, end=until)


def _listed(days: Iterable[int]) -> str:
    names = [name for day, name in WEEKDAYS if day in set(days)]
    return " or ".join(names)
