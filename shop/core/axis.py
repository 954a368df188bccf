"""The time axis of a wall chart: working days side by side, nights left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """Days of equal hours from `left` to `right`; an instant of the night lies on the next edge."""

    days: tuple[date, ...]
    opens: int
    shuts: int
    zone: ZoneInfo
    left: float
    right: float

    @property
    def day_width(self) -> float:
        """How wide one day is drawn."""
        return (self.right - self.left) / len(self.days)

    @property
    def starts_at(self) -> datetime:
        """The first instant that is drawn."""
        return self.edge(self.days[0], self.opens)

    @property
    def ends_at(self) -> datetime:
        """The last instant that is drawn."""
        return self.edge(self.days[-1], self.shuts)

    def edge(self, day: date, hour: int) -> datetime:
        """A whole hour of a day, 24 being the midnight after it."""
        if hour == 24:
            return datetime.combine(day + timedelta(days=1), time(0), self.zone)
        return datetime.combine(day, time(hour), self.zone)

    def x(self, at: datetime) -> float:
        """Where an instant lies."""
        for index, day in enumerate(self.days):
            first, last = self.edge(day, self.opens), self.edge(day, self.shuts)
            if at <= last:
                share = max(0.0, (at - first) / (last - first))
                return self.left + (index + share) * self.day_width
        return self.right

    def minutes_of(self, spans: Sequence[tuple[datetime, datetime]]) -> str:
        """Stretches as minutes of the wall clock since the first day's midnight, `450-720 765-975`."""
        return " ".join(f"{self.minute(start)}-{self.minute(end)}" for start, end in spans)

    def minute(self, at: datetime) -> int:
        """Minutes of the wall clock since the midnight of the first day; a day always has 1440."""
        local = at.astimezone(self.zone)
        return (local.date() - self.days[0]).days * 1440 + local.hour * 60 + local.minute

    @property
    def day_numbers(self) -> str:
        """The days that are drawn, counted from the first, `0 1 2 3 4`."""
        return " ".join(str((day - self.days[0]).days) for day in self.days)

    def holds(self, at: datetime) -> bool:
        """Whether an instant lies in the hours that are drawn."""
        return any(
            self.edge(day, self.opens) <= at <= self.edge(day, self.shuts) for day in self.days
        )

    def overlaps(self, start: datetime, end: datetime) -> bool:
        """Whether any of a stretch lies in what is drawn."""
        return self.x(start) < self.x(end) or (
            self.holds(start) and self.starts_at <= start <= self.ends_at
        )


def axis_for(
    days: Sequence[date],
    stretches: Sequence[tuple[datetime, datetime]],
    zone: ZoneInfo,
    *,
    left: float,
    right: float,
) -> Axis:
    """An axis over `days`, as long each day as the longest stretch of work asks for.

    A day on which nothing happens is left out, unless nothing happens at all.
    """
    busy: set[date] = set()
    hours: list[int] = []
    for start, end in stretches:
        first, last = start.astimezone(zone), end.astimezone(zone)
        touched = [day for day in days if first.date() <= day <= last.date()]
        if last.time() == time(0):
            touched = [day for day in touched if day != last.date()]
        busy.update(touched)
        if first.date() == last.date():
            hours += [first.hour, last.hour + (last.minute > 0)]
        elif touched:
            hours += [0, 24]
    opens, shuts = (min(hours), max(hours)) if hours else (8, 17)
    return Axis(
        days=tuple(day for day in days if day in busy) or tuple(days),
        opens=opens,
        shuts=max(shuts, opens + 1),
        zone=zone,
        left=left,
        right=right,
    )
