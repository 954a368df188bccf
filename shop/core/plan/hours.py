"""The axis of ticks, and working time on it.

A tick is a whole step of the wall clock, so that curing and lags are plain sums. Working time is
a second, compressed axis per calendar: work of d ticks that starts at working tick w ends at
w + d, whatever pauses lie between. `Hours` turns one into the other.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import accumulate

from shop.core.calendar import Opening


class Ticks:
    """Turns instants into ticks from the first whole minute at or after `now`, and back."""

    def __init__(self, now: datetime, tick_min: int) -> None:
        minute = now.astimezone(UTC).replace(second=0, microsecond=0)
        self.origin = minute if minute == now else minute + timedelta(minutes=1)
        self.step = timedelta(minutes=tick_min)

    def up(self, at: datetime) -> int:
        """The first tick at or after an instant."""
        return -((self.origin - at.astimezone(UTC)) // self.step)

    def down(self, at: datetime) -> int:
        """The last tick at or before an instant."""
        return (at.astimezone(UTC) - self.origin) // self.step

    def at(self, tick: int) -> datetime:
        """The instant of a tick, in UTC."""
        return self.origin + tick * self.step

    def lasting(self, minutes: float) -> int:
        """Ticks that cover so many minutes."""
        return -int(-timedelta(minutes=minutes) // self.step)


@dataclass(frozen=True, slots=True)
class Hours:
    """Open stretches in ticks, ascending.

    `before` is the work that lies ahead of each, and all of it at last; `longest` is the length of
    the longest stretch.
    """

    starts: tuple[int, ...]
    ends: tuple[int, ...]
    before: tuple[int, ...]
    longest: int

    @classmethod
    def of(cls, spans: Iterable[tuple[int, int]]) -> "Hours":
        """Hours from ascending spans; empty ones are left out, touching ones joined."""
        starts: list[int] = []
        ends: list[int] = []
        for start, end in spans:
            if ends and start <= ends[-1]:
                ends[-1] = max(end, ends[-1])
            elif start < end:
                starts.append(start)
                ends.append(end)
        lengths = [b - a for a, b in zip(starts, ends, strict=True)]
        before = tuple(accumulate(lengths, initial=0))
        return cls(tuple(starts), tuple(ends), before, max(lengths, default=0))

    @classmethod
    def from_openings(cls, openings: Iterable[Opening], ticks: Ticks) -> "Hours":
        """Hours of a calendar; a tick that is only partly open counts as closed."""
        return cls.of((max(0, ticks.up(o.start)), ticks.down(o.end)) for o in openings)

    def both(self, other: "Hours") -> "Hours":
        """The stretches in which both are open."""
        spans = []
        i = j = 0
        while i < len(self.starts) and j < len(other.starts):
            start = max(self.starts[i], other.starts[j])
            end = min(self.ends[i], other.ends[j])
            if start < end:
                spans.append((start, end))
            if self.ends[i] <= other.ends[j]:
                i += 1
            else:
                j += 1
        return Hours.of(spans)

    def either(self, other: "Hours") -> "Hours":
        """The stretches in which at least one is open."""
        spans = [*zip(self.starts, self.ends, strict=True)]
        return Hours.of(sorted([*spans, *zip(other.starts, other.ends, strict=True)]))

    def worked(self, start: int, end: int) -> int:
        """Open ticks between two ticks."""
        return self.worked_until(end) - self.worked_until(start)

    def worked_until(self, tick: int) -> int:
        """Open ticks before a tick."""
        i = bisect_right(self.ends, tick)
        if i == len(self.starts):
            return self.total
        return self.before[i] + max(0, tick - self.starts[i])

    @property
    def total(self) -> int:
        """All working ticks."""
        return self.before[-1]

    def next_open(self, tick: int) -> int | None:
        """The first open tick at or after `tick`; None beyond the last."""
        i = bisect_right(self.ends, tick)
        return max(tick, self.starts[i]) if i < len(self.starts) else None

    def fit(self, tick: int, work: int, breakable: bool) -> tuple[int, int] | None:
        """Start and end of the first run of `work` from `tick` on; None beyond the last."""
        i = bisect_right(self.ends, tick)
        if i == len(self.starts):
            return None
        start = max(tick, self.starts[i])
        if start + work <= self.ends[i]:
            return start, start + work
        if breakable:
            done = self.before[i] + start - self.starts[i] + work
            j = bisect_left(self.before, done) - 1
            if j == len(self.starts):
                return None
            return start, self.starts[j] + done - self.before[j]
        for j in range(i + 1, len(self.starts)):
            if self.ends[j] - self.starts[j] >= work:
                return self.starts[j], self.starts[j] + work
        return None

    def pieces(self, start: int, end: int) -> list[tuple[int, int]]:
        """The open stretches between two ticks."""
        found = []
        for i in range(bisect_right(self.ends, start), len(self.starts)):
            if self.starts[i] >= end:
                break
            found.append((max(start, self.starts[i]), min(end, self.ends[i])))
        return found


NO_HOURS = Hours((), (), (0,), 0)
