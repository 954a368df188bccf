"""Pieces that are away: when they can leave, and when what leaves then is back.

A day counts by the clock of the wall, so that what leaves on a Thursday and is away for five days
is back on a Tuesday, whatever the hour and whether the clocks change between.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from shop.core.calendar import Calendar, Opening
from shop.core.plan.hours import Ticks
from shop.core.plan.problem import Away

MOMENT = timedelta(microseconds=1)


def numbered(place: int) -> int:
    """The number by which a mode names trips by their place, and back: below the wall clock's, -1."""
    return -2 - place


@dataclass(frozen=True, slots=True)
class Trips:
    """Stretches of ticks at which pieces can leave, ascending, and when each of them is back.

    What leaves at a tick of a stretch is back at `backs`, but a tick later at the earliest. Nothing
    that leaves later is back sooner.
    """

    starts: tuple[int, ...]
    ends: tuple[int, ...]
    backs: tuple[int, ...]

    @classmethod
    def of(
        cls, away: Away, calendars: Mapping[str, Calendar], ticks: Ticks, until: datetime
    ) -> "Trips":
        """All trips that are over by `until`."""
        out, back = calendars[away.out], calendars[away.back]
        stretches = back.openings(ticks.origin, until)
        returns = [(ticks.up(o.start), ticks.up(o.end)) for o in stretches]
        found: list[tuple[int, int, int]] = []
        for opening, home in _days(out, away.days, ticks.origin, until):
            first, last = max(0, ticks.up(opening.start)), ticks.down(opening.end)
            found += _with_returns(first, last + 1, ticks.up(home), returns)
        return cls(*(tuple(each[i] for each in found) for i in range(3)))

    @property
    def least(self) -> int:
        """Ticks that the shortest of them lasts."""
        return min(
            (max(back, end) - end + 1 for end, back in zip(self.ends, self.backs, strict=True)),
            default=1,
        )

    @property
    def usual(self) -> float:
        """Ticks from when pieces are ready until they are back, on average."""
        total, last = 0.0, 0
        for end, back in zip(self.ends, self.backs, strict=True):
            total += (end - last) * (back - (last + end) / 2)
            last = end
        return total / last if last else 1.0

    def next_open(self, tick: int) -> int | None:
        """The first tick from `tick` on at which pieces can leave; None beyond the last."""
        i = bisect_right(self.ends, tick)
        return max(tick, self.starts[i]) if i < len(self.ends) else None

    def fit(self, tick: int, work: int = 0, breakable: bool = True) -> tuple[int, int] | None:
        """When pieces that are ready at a tick leave and are back; None beyond the last."""
        i = bisect_right(self.ends, tick)
        if i == len(self.ends):
            return None
        start = max(tick, self.starts[i])
        return start, max(start + 1, self.backs[i])

    def next_back(self, tick: int) -> int:
        """The first tick after `tick` at which anything can be back, or one that is sooner."""
        i = bisect_right(self.backs, tick)
        is_between = i > 0 and tick < self.ends[i - 1]
        return tick + 1 if is_between or i == len(self.backs) else self.backs[i]

    def pieces(self, start: int, end: int) -> list[tuple[int, int]]:
        """The one stretch that a trip is."""
        return [(start, end)]

    def last_start(self, until: int, work: int = 0, breakable: bool = True) -> int:
        """The last tick at which to leave so as to be back by a tick; -1 where there is none."""
        at = min(bisect_right(self.backs, until), bisect_left(self.starts, until)) - 1
        return min(self.ends[at], until) - 1 if at >= 0 else -1


def trip_from(
    ready: datetime, away: Away, calendars: Mapping[str, Calendar]
) -> tuple[datetime, datetime] | None:
    """When pieces that are ready at an instant leave and are back, to the minute; None for never."""
    ticks, ahead = Ticks(ready, 1), timedelta(days=away.days)
    for weeks in (4, 26, 104):
        trips = Trips.of(away, calendars, ticks, ready + ahead + timedelta(weeks=weeks))
        found = trips.fit(0)
        if found is not None:
            return ticks.at(found[0]), ticks.at(found[1])
    return None


def _days(
    out: Calendar, days: int, start: datetime, until: datetime
) -> Iterator[tuple[Opening, datetime]]:
    """The openings day by day, and from when what leaves on the day may be back."""
    zone = ZoneInfo(out.timezone)
    # One that ends just now is there to leave as it closes.
    for opening in out.openings(start - MOMENT, until):
        begin = opening.start
        while begin < opening.end:
            today = begin.astimezone(zone).date()
            midnight = _midnight(today + timedelta(days=1), zone)
            home = _midnight(today + timedelta(days=days), zone)
            # What leaves at midnight leaves on the day that begins.
            yield Opening(start=begin, end=min(midnight - MOMENT, opening.end)), home
            begin = midnight


def _midnight(day: Any, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, time(), zone).astimezone(UTC)


def _with_returns(
    tick: int, end: int, home: int, returns: list[tuple[int, int]]
) -> Iterator[tuple[int, int, int]]:
    """A day's ticks parted by when what leaves at them is back."""
    i = 0
    while tick < end:
        soonest = max(tick + 1, home)
        while i < len(returns) and returns[i][1] <= soonest:
            i += 1
        if i == len(returns):
            return
        back = max(soonest, returns[i][0])
        # Where it can be back a tick later, so can all that leaves until the opening ends.
        stop = min(end, returns[i][1] - 1 if back == tick + 1 else back)
        yield tick, stop, back
        tick = stop
