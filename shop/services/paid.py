"""What a hand is paid of what was clocked: a minute that was spent on two things counts once."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from shop.core.minding import Attention, unpaid
from shop.core.spans import Span
from shop.models import Clocking

LATER = datetime.max.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Run:
    """A minded run that has ended: its clocking, its hand, from when to when."""

    clocking: int
    hand: int
    span: Span


def runs_in(clockings: Iterable[Clocking]) -> list[Run]:
    """The minded runs among clockings that have ended."""
    return [
        Run(row.pk, row.hand_id, (row.started_at, row.ended_at))
        for row in clockings
        if row.attention == Attention.MINDED and row.ended_at is not None
    ]


def unpaid_in(runs: Iterable[Run]) -> Mapping[int, timedelta]:
    """The time of each run in which its hand is paid for light work, by clocking, where there is any.

    One query; none without a run.
    """
    known = list(runs)
    if not known:
        return {}
    light = _light_work(known)
    found = {run.clocking: unpaid(run.span, _beside(run, light)) for run in known}
    return {clocking: time for clocking, time in found.items() if time}


def _light_work(runs: list[Run]) -> dict[int, list[Span]]:
    """The light work of their hands in order, by hand; a hand does one at a time."""
    rows = (
        Clocking.objects.filter(
            hand__in={run.hand for run in runs},
            attention=Attention.LIGHT,
            started_at__lt=max(run.span[1] for run in runs),
        )
        .exclude(ended_at__lte=min(run.span[0] for run in runs))
        .order_by("started_at", "pk")
    )
    found: dict[int, list[Span]] = {}
    for hand, start, end in rows.values_list("hand", "started_at", "ended_at"):
        found.setdefault(hand, []).append((start, end or LATER))
    return found


def _beside(run: Run, light: Mapping[int, list[Span]]) -> list[Span]:
    spans = light.get(run.hand, [])
    first = bisect_right(spans, run.span[0], key=lambda span: span[1])
    last = bisect_left(spans, run.span[1], key=lambda span: span[0])
    return spans[first:last]
