"""The lead time of an estimate: from the hands' hours and the work that the shop has in hand."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from costing.core.estimate import Estimate
from costing.core.lead_time import LeadTime, OpenDay, lead_time
from costing.models import Quote
from orders.core.stages import Stage
from orders.models import Commission
from shop.models import Hand, Workshop
from shop.services.problem import Underway, Work
from shop.services.weeks import Weeks

AHEAD = timedelta(days=365)


@dataclass(frozen=True, slots=True, kw_only=True)
class Queue:
    """What stands before a new order: minutes in hand, and the open days of the hands."""

    before_min: float
    days: tuple[OpenDay, ...]

    def lead_time(self, hours: float) -> LeadTime | None:
        """When so many hours more would be done; None if not within a year."""
        return lead_time(self.days, before_min=self.before_min, own_min=hours * 60)

    def promises(self, estimate: Estimate) -> tuple[tuple[str, LeadTime | None], ...]:
        """The lead time at an even chance and at four in five."""
        return (
            ("P50", self.lead_time(estimate.hours.p50)),
            ("P80", self.lead_time(estimate.hours.p80)),
        )


def queue_of(workshop: Workshop, now: datetime, *, but: Commission | None = None) -> Queue:
    """The shop's queue as it stands: about eight queries, however long it is.

    It holds what is released and not done, and the hours of quotes that were accepted and wait
    for their release. It is an approximation of the plan: hands are taken to be able at
    everything, and curing to cost nobody's time.
    """
    work = Work.of(workshop, now)
    released = sum(
        work.underway.get(operation.pk, Underway()).rest_min(operation)
        for operation in work.operations
        if but is None or operation.commission_id != but.pk
    )
    accepted = Quote.objects.of(workshop).filter(
        state=Quote.State.ACCEPTED, commission__stage=Stage.ACCEPTED
    )
    if but is not None:
        accepted = accepted.exclude(commission=but)
    hours = accepted.values_list("content__estimate__hours__mean", flat=True)
    hands = list(Hand.objects.of(workshop).filter(is_in_use=True))
    return Queue(
        before_min=released + 60 * sum(float(each) for each in hours),
        days=tuple(_open_days(workshop, hands, now)),
    )


def _open_days(workshop: Workshop, hands: Sequence[Hand], now: datetime) -> Iterator[OpenDay]:
    """The days ahead on which somebody works, by the workshop's own clock."""
    weeks, zone = Weeks.of(workshop, now), ZoneInfo(workshop.time_zone)
    followers = Counter(weeks.key_of(hand) for hand in hands)
    found: dict[date, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for key in followers:
        for opening in weeks.calendars[key].openings(now, now + AHEAD):
            found[opening.start.astimezone(zone).date()][key] += opening.minutes
    for day, minutes in sorted(found.items()):
        each = [minutes[key] for key, count in followers.items() for _ in range(count)]
        yield OpenDay(on=day, hands_min=tuple(each))
