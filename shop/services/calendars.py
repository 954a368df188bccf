"""Calendars and closures: when there is work, and when there is not."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, time

from django.db import transaction
from django.utils import timezone

from orders.core.errors import NotNow, RuleBroken
from shop.models import WEEKDAYS, Closure, Hand, Opening, Station, WorkingCalendar, Workshop

from . import planning
from .plan_changes import change_since
from .stations import require_valid

USUAL_WEEK = tuple(
    (weekday, start, end)
    for weekday in range(5)
    for start, end in ((time(7, 30), time(12)), (time(12, 45), time(16, 15)))
)
"""Monday to Friday, forty hours with a break at noon: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """Open hours on one weekday (0 is Monday), by the clock of the workshop.

    Overtime is beyond the regular hours: a plan may offer it at a price.
    """

    weekday: int
    starts: time
    ends: time
    is_overtime: bool = False


@transaction.atomic
def add_calendar(workshop: Workshop, *, name: str, hours: Sequence[Hours] = ()) -> WorkingCalendar:
    """A new week of opening hours.

    Raises RuleBroken for a name that is empty, or hours that overlap or end before they start.
    """
    calendar = WorkingCalendar(workshop=workshop, name=name.strip())
    require_valid(calendar)
    _require_week(hours)
    calendar.save()
    _store(calendar, hours)
    return calendar


@transaction.atomic
def change_calendar(
    calendar: WorkingCalendar,
    *,
    version: int | None = None,
    name: str | None = None,
    hours: Sequence[Hours] | None = None,
) -> WorkingCalendar:
    """Change the name, or replace the whole week at once.

    Raises RuleBroken as for a new one, and if a calendar that somebody follows would have no
    working hour; Stale if somebody else changed it meanwhile.
    """
    calendar = WorkingCalendar.objects.select_for_update().get(pk=calendar.pk)
    calendar.require_version(version)
    if name is not None:
        calendar.name = name.strip()
    require_valid(calendar)
    if hours is not None:
        _require_week(hours)
        if all(row.is_overtime for row in hours):
            _require_unused(calendar)
        calendar.openings.all().delete()
        _store(calendar, hours)
    calendar.save_next()
    return calendar


@transaction.atomic
def remove_calendar(calendar: WorkingCalendar) -> None:
    """Take a calendar away.

    Raises NotNow while a station or a hand follows it.
    """
    users = list(followers(calendar))
    if users:
        raise NotNow(
            f"{_names(users)} still follow “{calendar}”. Give them another calendar first."
        )
    calendar.delete()


@transaction.atomic
def close(
    workshop: Workshop,
    *,
    starts_at: datetime,
    ends_at: datetime,
    reason: str,
    station: Station | None = None,
    hand: Hand | None = None,
) -> Closure:
    """Close a station, a hand, or without either the whole shop.

    The plan in force is fitted to it at once.

    Raises RuleBroken without a reason, for an end that is not after the start, or for both a
    station and a hand.
    """
    closure = Closure(
        workshop=workshop,
        station=station,
        hand=hand,
        starts_at=starts_at,
        ends_at=ends_at,
        reason=reason.strip(),
    )
    _require_closure(closure)
    closure.save()
    planning.mend_soon(workshop)
    return closure


@transaction.atomic
def change_closure(
    closure: Closure,
    *,
    version: int | None = None,
    starts_at: datetime,
    ends_at: datetime,
    reason: str,
) -> Closure:
    """Move a closure, or end it sooner.

    Raises RuleBroken as for a new one, Stale if somebody else changed it meanwhile.
    """
    closure = Closure.objects.select_for_update(of=("self",)).get(pk=closure.pk)
    closure.require_version(version)
    closure.starts_at, closure.ends_at, closure.reason = starts_at, ends_at, reason.strip()
    _require_closure(closure)
    closure.save_next()
    planning.mend_soon(closure.workshop)
    return closure


@transaction.atomic
def reopen(closure: Closure) -> None:
    """Take a closure away; whoever it closed counts as changed, so that the plan is made again.

    What the closure moved goes back, as far as that can be.
    """
    closed = closure.station or closure.hand or closure.workshop
    type(closed).objects.filter(pk=closed.pk).update(changed_at=timezone.now())
    without = change_since(closure.workshop, closure.changed_at)
    closure.delete()
    planning.mend_soon(closure.workshop, without=without)


def followers(calendar: WorkingCalendar) -> Iterable[Station | Hand]:
    """The stations and hands that follow a calendar."""
    yield from Station.objects.filter(calendar=calendar)
    yield from Hand.objects.filter(calendar=calendar)


def usual_week() -> list[Hours]:
    """The hours a new workshop begins with."""
    return [Hours(weekday=day, starts=start, ends=end) for day, start, end in USUAL_WEEK]


def _require_week(hours: Sequence[Hours]) -> None:
    days = dict(WEEKDAYS)
    last: Hours | None = None
    for index, row in sorted(enumerate(hours), key=lambda pair: (pair[1].weekday, pair[1].starts)):
        if row.weekday not in days:
            raise RuleBroken(f"hours/{index}/weekday", "A weekday is a number from 0 to 6.")
        if row.ends <= row.starts:
            raise RuleBroken(
                f"hours/{index}/ends",
                f"On {days[row.weekday]} the closing time {row.ends:%H:%M} must be later than the"
                f" opening time {row.starts:%H:%M}. Write a night shift as two stretches.",
            )
        if last is not None and last.weekday == row.weekday and row.starts < last.ends:
            raise RuleBroken(
                f"hours/{index}/starts",
                f"On {days[row.weekday]} the hours from {row.starts:%H:%M} overlap those from"
                f" {last.starts:%H:%M} to {last.ends:%H:%M}. Begin at {last.ends:%H:%M} or later.",
            )
        last = row


def _require_unused(calendar: WorkingCalendar) -> None:
    users = [row for row in followers(calendar) if row.is_in_use]
    if users:
        raise RuleBroken(
            "hours",
            f"{_names(users)} follow “{calendar}”, which would have no working hour. Leave it at"
            " least one, or give them another calendar.",
        )


def _require_closure(closure: Closure) -> None:
    if not closure.reason:
        raise RuleBroken("reason", "Say why it is closed; the reason stands on the wall chart.")
    for field in ("starts_at", "ends_at"):
        if timezone.is_naive(getattr(closure, field)):
            raise RuleBroken(field, "Give the time with its time zone.")
    if closure.ends_at <= closure.starts_at:
        raise RuleBroken("ends_at", "The end must be later than the start.")
    for row in (closure.station, closure.hand):
        if row is not None and row.workshop_id != closure.workshop_id:
            raise RuleBroken("station", "Close a station or a hand of this workshop.")
    require_valid(closure)


def _store(calendar: WorkingCalendar, hours: Sequence[Hours]) -> None:
    Opening.objects.bulk_create(
        Opening(
            calendar=calendar,
            weekday=row.weekday,
            starts=row.starts,
            ends=row.ends,
            is_overtime=row.is_overtime,
        )
        for row in hours
    )


def _names(rows: Sequence[Station | Hand]) -> str:
    names = [str(row) for row in rows[:3]]
    more = [f"{len(rows) - 3} more"] if len(rows) > 3 else []
    *first, last = names + more
    return f"{', '.join(first)} and {last}" if first else last
