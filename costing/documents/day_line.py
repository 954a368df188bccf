"""A hand's day as a line: the hours at work, and each piece of work on them by its number."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils import timezone

from shop.core.spans import Span

WIDTH = 640.0
LEAST_FOR_A_FIGURE = 16.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A stretch on the line; `label` is empty where there is no room for it."""

    x: float
    width: float
    label: str = ""

    @property
    def middle(self) -> float:
        """Where its label stands."""
        return round(self.x + self.width / 2, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class DayLine:
    """The line from its first hour to its last: ticks, hours at work, pieces of work.

    What is done while a machine runs lies above the run.
    """

    hours: tuple[Block, ...]
    open: tuple[Block, ...]
    work: tuple[Block, ...]
    above: tuple[Block, ...] = ()

    @property
    def top(self) -> int:
        """Where the drawing begins: higher with work above the rest."""
        return -22 if self.above else 0

    @property
    def height(self) -> int:
        """How high it is."""
        return 46 - self.top


def day_line(
    open_spans: Sequence[Span], work: Sequence[Sequence[Span]], beside: Collection[int] = ()
) -> DayLine | None:
    """Draw a day; None when there is nothing to draw.

    `work` has the stretches of each piece of work in order; it is numbered from 1. `beside` are the
    numbers of what is done while a machine runs.
    """
    spans = [*open_spans, *(span for stretches in work for span in stretches)]
    if not spans:
        return None
    first = _whole_hour(min(start for start, _ in spans))
    last = _whole_hour(max(end for _, end in spans) + timedelta(minutes=59))
    scale = WIDTH / ((last - first) / timedelta(hours=1))
    blocks = [
        (number, _block(span, first, scale, str(number)))
        for number, stretches in enumerate(work, start=1)
        for span in stretches
    ]
    return DayLine(
        hours=tuple(_hours(first, last, scale)),
        open=tuple(_block(span, first, scale) for span in open_spans),
        work=tuple(block for number, block in blocks if number not in beside),
        above=tuple(block for number, block in blocks if number in beside),
    )


def _whole_hour(at: datetime) -> datetime:
    return at.replace(minute=0, second=0, microsecond=0)


def _hours(first: datetime, last: datetime, scale: float) -> Iterator[Block]:
    for hour in range(round((last - first) / timedelta(hours=1)) + 1):
        at = timezone.localtime(first + timedelta(hours=hour))
        yield Block(x=round(hour * scale, 1), width=0.0, label=f"{at:%-H}")


def _block(span: Span, first: datetime, scale: float, label: str = "") -> Block:
    start, end = ((at - first) / timedelta(hours=1) * scale for at in span)
    width = round(max(end - start, 2.0), 1)
    return Block(x=round(start, 1), width=width, label=label if width > LEAST_FOR_A_FIGURE else "")
