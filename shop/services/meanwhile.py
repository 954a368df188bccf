"""Which planned work is done while a machine runs that the same hand minds."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from shop.core.minding import while_running
from shop.core.spans import Span
from shop.models import Booking


def meanwhile_of(bookings: Iterable[tuple[Booking, Sequence[Span]]]) -> Mapping[int, str]:
    """“while the … runs”, by booking; each booking comes with its stretches in what is looked at.

    Only work that overlaps a run of its own hand is in it, on a station of the same area that may
    be left.
    """
    runs: dict[tuple[int, str], list[tuple[str, Sequence[Span]]]] = defaultdict(list)
    others: list[tuple[int, tuple[int, str], Sequence[Span]]] = []
    for booking, spans in bookings:
        station = booking.station
        if booking.hand_id is None or station is None or not station.area:
            continue
        near = booking.hand_id, station.area
        if station.may_be_left:
            runs[near].append((station.name, spans))
        else:
            others.append((booking.pk, near, spans))
    found = {
        pk: while_running(name for name, run in runs.get(near, ()) if _overlap(spans, run))
        for pk, near, spans in others
    }
    return {pk: words for pk, words in found.items() if words}


def _overlap(one: Sequence[Span], other: Sequence[Span]) -> bool:
    return any(a < d and c < b for a, b in one for c, d in other)
