"""Work beyond regular hours, on the clock: of the hands, or of a station that runs alone."""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from shop.core.plan.problem import Problem
from shop.core.plan.schedule import Booking
from shop.core.spans import Span, together


def overtime_min(problem: Problem, bookings: Sequence[Booking]) -> float:
    """Minutes of overtime in a plan, of each who works them."""
    beyond = Beyond(problem, max((b.end for b in bookings if b.overtime), default=problem.now))
    spans = (
        span
        for booking in bookings
        for key in booking.hands or (booking.station,)
        if key is not None
        for stretch in booking.overtime
        for span in beyond.of(key, stretch)
    )
    return sum(((end - start) / timedelta(minutes=1) for start, end in spans), 0.0)


class Beyond:
    """The regular hours of all who may be offered more, from now until the end of a plan."""

    def __init__(self, problem: Problem, until: datetime) -> None:
        self.calendar = {r.key: r.calendar for r in problem.resources if r.overtime}
        self.openings: dict[str, list[Span]] = {}
        for key in set(self.calendar.values()) if until > problem.now else ():
            openings = problem.calendars[key].openings(problem.now, until)
            self.openings[key] = [(opening.start, opening.end) for opening in openings]

    def of(self, key: str, piece: Span) -> list[Span]:
        """The stretches of a piece of work that are beyond the regular hours of one resource."""
        if key not in self.calendar:
            return []
        openings = self.openings[self.calendar[key]]
        start, end = piece
        found = []
        for i in range(bisect_right(openings, start, key=lambda span: span[1]), len(openings)):
            if openings[i][0] >= end:
                break
            if openings[i][0] > start:
                found.append((start, openings[i][0]))
            start = openings[i][1]
        return [*found, (start, end)] if start < end else found

    def any_of(self, keys: Sequence[str], pieces: Iterable[Span]) -> tuple[Span, ...]:
        """The stretches in which at least one is beyond the regular hours, in order."""
        return together(span for piece in pieces for key in keys for span in self.of(key, piece))
