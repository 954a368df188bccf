"""Issuing day sheets: what everybody was told, numbered, and what has changed since."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction

from shop.core.spans import Span
from shop.models import DayIssue, Hand, Plan, User, Workshop

from .chart import ChartBar, WallChart, chart

Content = list[dict[str, Any]]


@transaction.atomic
def issue_days(
    workshop: Workshop, on: date, *, by: User | None, at: datetime
) -> tuple[DayIssue, ...]:
    """Issue the sheets of a day by the plan in force; those that changed get the next number.

    A sheet that says what its last issue said keeps its number. A hand who has nothing to do (any
    more) is issued an empty sheet only where an earlier one said otherwise.
    """
    Workshop.objects.select_for_update().get(pk=workshop.pk)
    before, now = last_issues(workshop, on), told_now(workshop, on)
    hands = Hand.objects.of(workshop).filter(pk__in=now)
    issued = []
    for hand in hands:
        last = before.get(hand.pk)
        if now[hand.pk] == (last.content if last else []):
            continue
        issued.append(
            DayIssue(
                hand=hand,
                on=on,
                number=last.number + 1 if last else 1,
                issued_at=at,
                issued_by=by,
                content=now[hand.pk],
            )
        )
    return tuple(DayIssue.objects.bulk_create(issued))


def last_issues(workshop: Workshop, on: date) -> dict[int, DayIssue]:
    """The issue that counts for each hand on a day, by hand."""
    rows = DayIssue.objects.of(workshop).filter(on=on).order_by("number")
    return {row.hand_id: row for row in rows}


def told_now(workshop: Workshop, on: date) -> dict[int, Content]:
    """What the plan in force has for each hand on a day, by hand; nothing without a plan."""
    plan = Plan.objects.in_force().of(workshop).select_related("workshop").first()
    return told_in(chart(plan, on, 1, "hand")) if plan else {}


def told_in(found: WallChart) -> dict[int, Content]:
    """What a chart of one day has for each hand."""
    return {
        row.pk: content_of((bar, within(bar.stretches, found.start, found.end)) for bar in row.bars)
        for row in found.rows
    }


def within(stretches: Iterable[Span], start: datetime, end: datetime) -> tuple[Span, ...]:
    """The parts of stretches that lie in a day."""
    return tuple((max(a, start), min(b, end)) for a, b in stretches if a < end and b > start)


def content_of(work: Iterable[tuple[ChartBar, Sequence[Span]]]) -> Content:
    """What a sheet tells a hand, as an issue keeps it: each bar with its stretches of the day."""
    return [
        {
            "operation": bar.operation_id,
            "name": f"{bar.mark} {bar.name}",
            "station": bar.station,
            "spans": [[a.isoformat(), b.isoformat()] for a, b in stretches],
            **({"away": [at.isoformat() for at in bar.away]} if bar.away else {}),
        }
        for bar, stretches in work
        if stretches
    ]


def changes_since(issue: DayIssue, now: Sequence[Mapping[str, Any]], zone: ZoneInfo) -> list[str]:
    """What is different from what was issued, each in a sentence; none if it still holds."""
    was = {row["operation"]: row for row in issue.content}
    stands = {row["operation"]: row for row in now}
    said = [f"{row['name']} is taken out." for key, row in was.items() if key not in stands]
    for key, row in stands.items():
        if key not in was:
            said.append(f"{row['name']} is new, at {_clock(row, zone)}, {row['station']}.")
        else:
            said.extend(_moved(was[key], row, zone))
    return said


def _moved(was: Mapping[str, Any], row: Mapping[str, Any], zone: ZoneInfo) -> Iterable[str]:
    if was["station"] != row["station"]:
        yield f"{row['name']} moves from {was['station']} to {row['station']}."
    if was["spans"] != row["spans"]:
        before, after = _clock(was, zone), _clock(row, zone)
        if before != after:
            yield f"{row['name']} begins at {after}, not at {before}."
        else:
            yield f"{row['name']} takes other hours."
    if was.get("away") != row.get("away"):
        yield f"{row['name']} {_away(row, zone)}, not as issued."


def _away(row: Mapping[str, Any], zone: ZoneInfo) -> str:
    if "away" not in row:
        return "stays here"
    out, back = (datetime.fromisoformat(at).astimezone(zone) for at in row["away"])
    return f"goes out {out:%A %H:%M} and is back {back:%A %H:%M}"


def _clock(row: Mapping[str, Any], zone: ZoneInfo) -> str:
    if not row["spans"]:
        return "no hour"
    return f"{datetime.fromisoformat(row['spans'][0][0]).astimezone(zone):%H:%M}"
