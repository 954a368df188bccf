"""Calendar feeds: the plan in force as iCalendar, one feed a hand or a station."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Q
from icalendar import Calendar, Event

from shop.core.spans import Span
from shop.models import Booking, Closure, Feed, Hand, Plan, Station, User

from .chart import bookings_of, stretches_of
from .meanwhile import meanwhile_of
from .tokens import hash_of

BYTES = 24
BEHIND, AHEAD = timedelta(days=14), timedelta(days=120)
USED_EVERY = timedelta(minutes=5)
PRODUCT = "-//Trenail//work plan//EN"


@transaction.atomic
def make_feed(whose: Hand | Station, *, by: User | None, at: datetime) -> str:
    """The secret of a new feed, which is shown this once; the feed before it ends."""
    end_feed(whose)
    secret = secrets.token_urlsafe(BYTES)
    Feed.objects.create(
        workshop=whose.workshop,
        sha256=hash_of(secret),
        made_at=at,
        made_by=by,
        **_of(whose),
    )
    return secret


def end_feed(whose: Hand | Station) -> None:
    """Let the feed lead nowhere."""
    Feed.objects.filter(**_of(whose)).delete()


def _of(whose: Hand | Station) -> dict[str, Hand | Station]:
    return {"hand" if isinstance(whose, Hand) else "station": whose}


def feed_of(secret: str, *, at: datetime) -> Feed | None:
    """The feed of this secret; None if there is none, or its hand or station is out of use."""
    found: Feed | None = (
        Feed.objects.filter(sha256=hash_of(secret))
        .select_related("workshop", "hand", "station")
        .first()
    )
    if found is None:
        return None
    whose: Hand | Station | None = found.hand or found.station
    if whose is None or not whose.is_in_use:
        return None
    if found.read_at is None or at - found.read_at > USED_EVERY:
        Feed.objects.filter(pk=found.pk).update(read_at=at)
    return found


def written(feed: Feed, *, at: datetime) -> bytes:
    """The work of a feed as iCalendar, from two weeks ago to four months ahead.

    An event is a piece of work between two pauses. Its UID stays as long as its operation is
    planned, its SEQUENCE is the number of the plan. Source: RFC 5545, 3.6.1 and 3.8.7.4.
    """
    whose = feed.hand or feed.station
    calendar = Calendar()
    calendar.add("PRODID", PRODUCT)
    calendar.add("VERSION", "2.0")
    calendar.add("METHOD", "PUBLISH")
    calendar.add("X-WR-CALNAME", f"{whose}, {feed.workshop.name}")
    calendar.add("REFRESH-INTERVAL", timedelta(minutes=30), parameters={"VALUE": "DURATION"})
    reach = at - BEHIND, at + AHEAD
    plan = Plan.objects.in_force().of(feed.workshop).first()
    if plan is not None:
        bookings = _bookings(feed, plan, reach)
        meanwhile = meanwhile_of((booking, stretches_of(booking)) for booking in bookings)
        for booking in bookings:
            said = meanwhile.get(booking.pk, "")
            for number, stretch in enumerate(stretches_of(booking), start=1):
                calendar.add_component(_work(booking, number, stretch, plan, said))
    for closure in _closures(feed, reach):
        calendar.add_component(_away(closure))
    text: bytes = calendar.to_ical()
    return text


def _bookings(feed: Feed, plan: Plan, reach: Span) -> list[Booking]:
    mine = Q(hand=feed.hand) | Q(helpers=feed.hand) if feed.hand else Q(station=feed.station)
    found = bookings_of(plan).filter(mine, ends_at__gt=reach[0], starts_at__lt=reach[1])
    return list(found.distinct())


def _closures(feed: Feed, reach: Span) -> Iterator[Closure]:
    everybody = Q(hand__isnull=True, station__isnull=True)
    mine = Q(hand=feed.hand) if feed.hand else Q(station=feed.station)
    rows = Closure.objects.of(feed.workshop).filter(
        mine | everybody, ends_at__gt=reach[0], starts_at__lt=reach[1]
    )
    return iter(rows)


def _work(booking: Booking, number: int, stretch: Span, plan: Plan, meanwhile: str) -> Event:
    operation = booking.operation
    others = [str(helper) for helper in booking.helpers.all()]
    event = Event()
    event.add("UID", f"operation-{operation.pk}-{number}@trenail")
    event.add("SEQUENCE", plan.number)
    event.add("DTSTAMP", plan.adopted_at or plan.made_at)
    event.add("DTSTART", stretch[0])
    event.add("DTEND", stretch[1])
    event.add("SUMMARY", f"{operation.commission.mark} {operation.name}")
    event.add("LOCATION", str(booking.station or ""))
    said = [
        f"{operation.commission.title}, {operation.assembly.name}",
        f"{operation.pieces} pieces, {operation.mark}",
        str(booking.hand or ""),
        f"with {', '.join(others)}" if others else "",
        meanwhile,
    ]
    event.add("DESCRIPTION", "\n".join(line for line in said if line))
    return event


def _away(closure: Closure) -> Event:
    event = Event()
    event.add("UID", f"closure-{closure.pk}@trenail")
    event.add("DTSTAMP", closure.changed_at)
    event.add("DTSTART", closure.starts_at)
    event.add("DTEND", closure.ends_at)
    event.add("SUMMARY", closure.reason or "Closed")
    event.add("TRANSP", "OPAQUE")
    return event
