"""The hours of stations and hands: the week of each, less what is closed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from orders.core.errors import NotReady, RuleBroken
from shop.core.calendar import HORIZON, Calendar, Shift
from shop.core.calendar import Closure as ClosedTime
from shop.models import Closure, Hand, Station, WorkingCalendar, Workshop

from .keys import hand_key, station_key


class Weeks:
    """The calendars of a workshop with their closures, each made once.

    A station or hand without closures of its own shares the calendar of its week.
    """

    def __init__(self, workshop: Workshop, closures: Iterable[Closure]) -> None:
        self.zone = workshop.time_zone
        self.weeks = {
            week.pk: week
            for week in WorkingCalendar.objects.of(workshop).prefetch_related("openings")
        }
        self.closed: dict[str, list[ClosedTime]] = defaultdict(list)
        for closure in closures:
            self.closed[_closed_key(closure)].append(
                ClosedTime(start=closure.starts_at, end=closure.ends_at, reason=closure.reason)
            )
        self.calendars: dict[str, Calendar] = {}
        self.users: dict[str, str] = {}

    @classmethod
    def of(cls, workshop: Workshop, since: datetime) -> Weeks:
        """The calendars with what is closed after an instant."""
        return cls(workshop, Closure.objects.of(workshop).filter(ends_at__gt=since))

    def key_of(self, user: Station | Hand) -> str:
        """The key of the calendar that a station or a hand follows."""
        own = station_key(user.pk) if isinstance(user, Station) else hand_key(user.pk)
        key = own if own in self.closed else f"week-{user.calendar_id}"
        if key not in self.calendars:
            self.calendars[key] = self._calendar(user.calendar_id, self.closed.get(own, []))
            self.users[key] = str(user)
        return key

    def overtime_of(self, user: Station | Hand) -> str:
        """The key of the hours that a station or a hand may be offered; empty without any."""
        if not any(opening.is_overtime for opening in self.weeks[user.calendar_id].openings.all()):
            return ""
        key = f"{self.key_of(user)} overtime"
        if key not in self.calendars:
            closed = self.calendars[self.key_of(user)].closures
            week = week_of(self.weeks[user.calendar_id], self.zone, overtime=True)
            self.calendars[key] = replace(week, closures=closed)
        return key

    def calendar_of(self, user: Station | Hand) -> Calendar:
        """The hours of a station or a hand, less all closures."""
        return self.calendars[self.key_of(user)]

    def closures_of_all(self) -> tuple[ClosedTime, ...]:
        """When the whole workshop is closed."""
        return tuple(self.closed.get("", ()))

    def week(self, pk: int) -> Calendar:
        """A week as it comes back, without what is closed."""
        return week_of(self.weeks[pk], self.zone)

    def require_hours(self, now: datetime) -> None:
        """Raises NotReady if somebody has no working hour ahead."""
        for key, user in self.users.items():
            try:
                self.calendars[key].require_hours(now, now + HORIZON)
            except RuleBroken:
                raise NotReady(self._why_closed(key, user, now)) from None

    def _why_closed(self, key: str, user: str, now: datetime) -> str:
        """What to change so that somebody has a working hour ahead."""
        shut = max(self.calendars[key].closures, key=lambda each: each.end, default=None)
        if shut is None or shut.end < now + HORIZON:
            return (
                f"{user} has no working hour ahead. Give the calendar opening hours,"
                " end the closure, or take it out of use."
            )
        who = "The whole workshop" if shut in self.closures_of_all() else user
        until = shut.end.astimezone(ZoneInfo(self.zone))
        return (
            f"{who} is closed until {until:%-d %B %Y} ({shut.reason}), and no plan looks so far"
            " ahead: let the closure end sooner."
        )

    def _calendar(self, week_id: int, closed: Sequence[ClosedTime]) -> Calendar:
        week = week_of(self.weeks[week_id], self.zone)
        return replace(week, closures=(*self.closed.get("", ()), *closed))


def week_of(calendar: WorkingCalendar, time_zone: str = "", *, overtime: bool = False) -> Calendar:
    """A week as it comes back, or its overtime, without what is closed; in the workshop's zone."""
    return Calendar(
        timezone=time_zone or calendar.workshop.time_zone,
        weekly=tuple(
            Shift(weekday=opening.weekday, start=opening.starts, end=opening.ends)
            for opening in calendar.openings.all()
            if opening.is_overtime is overtime
        ),
    )


def _closed_key(closure: Closure) -> str:
    if closure.station_id is not None:
        return station_key(closure.station_id)
    return hand_key(closure.hand_id) if closure.hand_id is not None else ""
