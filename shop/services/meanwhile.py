"""Which planned work is done while a machine runs that the same hand minds."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from shop.core.minding import Span, while_running
from shop.models import Booking


def meanwhile_of(bookings: Iterable[tuple[Booking, Sequence[Span]]]) -> Mapping[int, str]:
    """“while the … runs”, by booking; each booking comes with its stretches in what is looked at.

    Only work that overlaps a run of its own hand is in it, on a station that may be left.
    """
    runs: dict[int, list[tuple[str, Sequence[Span]]]] = defaultdict(list)
    others: list[tuple[int, int, Sequence[Span]]] = []
    for booking, spans in bookings:
        if booking.hand_id is None:
            continue
        if booking.station is not None and booking.station.may_be_left:
            runs[booking.hand_id].append((booking.station.name, spans))
        else:
            others.append((booking.pk, booking.hand_id, spans))
    found = {
        pk: while_running(name for name, run in runs.get(hand, ()) if _overlap(spans, run))
        for pk, hand, spans in others
    }
    return {pk: words for pk, words in found.items() if words}


def _overlap(one: Sequence[Span], other: Sequence[Span]) -> bool:
    return any(a < d and c < b for a, b in one for c, d in other)
