"""Working time: when a hand or a station is at work, in the workshop's own time zone."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from orders.core.errors import RuleBroken
from shop.core.spans import Span, together

HORIZON = timedelta(days=2 * 365)
DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A stretch of working time between two instants."""

    start: datetime
    end: datetime

    def __post_init__(self) -> None:
        _require_span(self.start, self.end)

    @property
    def minutes(self) -> float:
        """Minutes that really pass, also over a change of the clocks."""
        return _minutes(self.start, self.end)


@dataclass(frozen=True, slots=True, kw_only=True)
class Closure:
    """A stretch without work: a holiday, a leave, a machine that stands still."""

    start: datetime
    end: datetime
    reason: str = ""

    def __post_init__(self) -> None:
        _require_span(self.start, self.end)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """Working hours that come back every week, on the clock of the wall.

    Monday is weekday 0. A shift that ends at or before its start ends on the next day, so that
    00:00 to 00:00 is a whole day.
    """

    weekday: int
    start: time
    end: time

    def __post_init__(self) -> None:
        if not 0 <= self.weekday <= 6:
            raise RuleBroken("weekday", "A weekday is a number from 0 (Monday) to 6 (Sunday).")
        if self.start.tzinfo is not None or self.end.tzinfo is not None:
            raise RuleBroken("start", "Give shift times without a time zone; the calendar has it.")

    def on(self, day: date, zone: ZoneInfo) -> Span:
        """Both ends as instants (UTC) when the shift begins on `day`."""
        last = day if self.end > self.start else day + DAY
        return (
            datetime.combine(day, self.start, zone).astimezone(UTC),
            datetime.combine(last, self.end, zone).astimezone(UTC),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """Weekly hours, less closures, plus extra openings.

    An extra opening wins over a closure: that is how someone works on a holiday. Instants given
    back are in UTC, where arithmetic is safe when the clocks change.
    """

    timezone: str
    weekly: tuple[Shift, ...] = ()
    closures: tuple[Closure, ...] = ()
    extra: tuple[Opening, ...] = ()

    def __post_init__(self) -> None:
        try:
            ZoneInfo(self.timezone)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            raise RuleBroken(
                "timezone",
                f"There is no time zone “{self.timezone}”; write one like “Europe/Berlin”.",
            ) from None

    def openings(self, start: datetime, end: datetime) -> tuple[Opening, ...]:
        """Working stretches from `start` to `end`, in order, none touching the next."""
        start, end = _utc("start", start), _utc("end", end)
        shifts = together(self._shifts(start, end))
        spans = _without(shifts, ((_utc("", c.start), _utc("", c.end)) for c in self.closures))
        extra = [(_utc("", o.start), _utc("", o.end)) for o in self.extra]
        if extra:
            spans = [*together([*spans, *extra])]
        clipped = ((max(a, start), min(b, end)) for a, b in spans)
        return tuple(Opening(start=a, end=b) for a, b in clipped if a < b)

    def is_open(self, at: datetime) -> bool:
        """Whether work goes on at this instant."""
        return bool(self.openings(at, at + timedelta(microseconds=1)))

    def add_minutes(
        self, start: datetime, minutes: float, *, horizon: timedelta = HORIZON
    ) -> datetime:
        """The instant at which so many working minutes after `start` are done.

        Raises RuleBroken when the calendar does not hold them before the horizon.
        """
        left = timedelta(minutes=minutes)
        begin = _utc("start", start)
        found = False
        for opening in self._ahead(begin, begin + horizon):
            found = True
            length = opening.end - opening.start
            if left <= length:
                return opening.start + left
            left -= length
        if not found:
            raise no_working_hour(begin, begin + horizon)
        raise RuleBroken(
            "calendar",
            f"The calendar has no {minutes:g} working minutes before {begin + horizon:%Y-%m-%d}; "
            "open more hours or plan less.",
        )

    def minutes_between(self, start: datetime, end: datetime) -> float:
        """Working minutes from `start` to `end`."""
        return sum(opening.minutes for opening in self.openings(start, end))

    def require_hours(self, start: datetime, end: datetime) -> None:
        """Raises RuleBroken when there is no working minute from `start` to `end`."""
        if not any(True for _ in self._ahead(_utc("start", start), _utc("end", end))):
            raise no_working_hour(start, end)

    def _shifts(self, start: datetime, end: datetime) -> Iterator[Span]:
        zone = ZoneInfo(self.timezone)
        on_weekday: dict[int, list[Shift]] = {}
        for shift in self.weekly:
            on_weekday.setdefault(shift.weekday, []).append(shift)
        day = start.astimezone(zone).date() - DAY
        last = end.astimezone(zone).date()
        while day <= last:
            for shift in on_weekday.get(day.weekday(), ()):
                a, b = shift.on(day, zone)
                if a < b:
                    yield a, b
            day += DAY

    def _ahead(self, start: datetime, end: datetime) -> Iterator[Opening]:
        """The openings, four weeks at a time, so that a near answer costs little."""
        while start < end:
            until = min(start + timedelta(days=28), end)
            yield from self.openings(start, until)
            start = until


def round_the_clock(timezone: str = "UTC") -> Calendar:
    """A calendar that never closes."""
    return Calendar(
        timezone=timezone,
        weekly=tuple(Shift(weekday=day, start=time(0), end=time(0)) for day in range(7)),
    )


def weekdays(timezone: str, *spans: tuple[time, time], days: Iterable[int] = range(5)) -> Calendar:
    """A calendar with the same hours on each of `days`."""
    return Calendar(
        timezone=timezone,
        weekly=tuple(Shift(weekday=day, start=a, end=b) for day in days for a, b in spans),
    )


def no_working_hour(start: datetime, end: datetime) -> RuleBroken:
    """The fault of a calendar that is closed throughout."""
    return RuleBroken(
        "calendar",
        f"The calendar has no working hour between {start:%Y-%m-%d} and {end:%Y-%m-%d}; "
        "give it weekly hours or an extra opening.",
    )


def _minutes(start: datetime, end: datetime) -> float:
    return (end.astimezone(UTC) - start.astimezone(UTC)) / timedelta(minutes=1)


def _utc(field: str, at: datetime) -> datetime:
    if at.tzinfo is None:
        raise RuleBroken(field, f"The time {at:%Y-%m-%d %H:%M} needs a time zone.")
    return at.astimezone(UTC)


def _require_span(start: datetime, end: datetime) -> None:
    if _utc("start", start) >= _utc("end", end):
        raise RuleBroken("end", "The end must come after the start.")


def _without(spans: Iterable[Span], closed: Iterable[Span]) -> list[Span]:
    blocks = together(closed)
    left: list[Span] = []
    first = 0
    for start, end in spans:
        while first < len(blocks) and blocks[first][1] <= start:
            first += 1
        for a, b in blocks[first:]:
            if a >= end:
                break
            if start < a:
                left.append((start, a))
            start = max(start, b)
        if start < end:
            left.append((start, end))
    return left
