"""One clocking of the demo that was wrong: somebody forgot to clock off, and the foreman put it right."""

from collections.abc import Sequence
from datetime import timedelta

from costing.management.demo.working_days import WorkingDays
from shop.models import Clocking, User
from shop.services.clocking import correct

FORGOTTEN = timedelta(minutes=22)
DAYS_AGO = 4


def forget_to_clock_off(ended: Sequence[Clocking], days: WorkingDays, *, by: User) -> Clocking:
    """Shorten the last clocking of a day by the minutes it ran on after the work had stopped.

    Raises LookupError if nobody worked long enough that day.
    """
    day = days.day(-DAYS_AGO)
    for wrong in reversed(ended):
        end = wrong.ended_at
        if end is None or end.astimezone(days.zone).date() != day:
            continue
        if end - wrong.started_at > 2 * FORGOTTEN:
            return correct(
                wrong,
                by=by,
                reason="Clocked off late: swept up and forgot the tablet.",
                started_at=wrong.started_at,
                ended_at=end - FORGOTTEN,
                pieces=wrong.pieces,
                at=days.at(1 - DAYS_AGO, 8),
            )
    raise LookupError("Nobody worked long enough that day.")
