"""Stretches of time: joined where they overlap, and how much work they are."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

Span = tuple[datetime, datetime]

A_MINUTE = timedelta(minutes=1)


def together(spans: Iterable[Span]) -> tuple[Span, ...]:
    """Stretches of time in order, those that touch or overlap as one."""
    found: list[Span] = []
    for start, end in sorted(spans):
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((start, end))
    return tuple(found)


def length(spans: Iterable[Span]) -> timedelta:
    """The time that stretches take, counted once where they overlap."""
    return sum((end - start for start, end in together(spans)), timedelta())


def load_min(work: Iterable[Span], *, of_hand: bool) -> float:
    """Minutes of work; a hand's with two things at once count once, a station's each."""
    if of_hand:
        return length(work) / A_MINUTE
    return sum((end - start) / A_MINUTE for start, end in work)
