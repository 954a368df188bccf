"""The standard times of a workshop, edition after edition."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from functools import lru_cache
from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from orders.core.errors import NotNow, NotReady
from orders.core.times import (
    Method,
    Skill,
    StandardTimes,
    StationKind,
    starting_times,
)
from orders.core.times import StandardTime as Row
from orders.models import StandardEdition, StandardTime

from .reading import Reader

if TYPE_CHECKING:
    from shop.models import User, Workshop

LONGEST_MIN = 100_000.0
MOST_SPREAD = 3.0
FIRST_DAY = date(2000, 1, 1)


@transaction.atomic
def first_edition(workshop: Workshop, by: User | None = None) -> StandardEdition:
    """The workshop's edition 1, as it comes with the program; made once."""
    _hold(workshop)
    edition = StandardEdition.objects.of(workshop).filter(number=1).first()
    if edition is None:
        edition = _store(workshop, 1, starting_times().rows, FIRST_DAY, "Starting edition", by)
    return edition


def current_edition(workshop: Workshop, on: date | None = None) -> StandardEdition:
    """The edition in force on a day, today unless told: the highest number that is valid.

    Raises NotReady if the workshop has none.
    """
    day = on or timezone.localdate()
    edition: StandardEdition | None = (
        StandardEdition.objects.of(workshop).filter(valid_from__lte=day).first()
    )
    if edition is None:
        raise NotReady("The workshop has no standard times yet; take the starting edition first.")
    return edition


def current_times(workshop: Workshop, on: date | None = None) -> StandardTimes:
    """The standard times in force; the starting edition's where the workshop has none yet."""
    try:
        return times_of(current_edition(workshop, on))
    except NotReady:
        return starting_times()


def times_of(edition: StandardEdition) -> StandardTimes:
    """The rows of an edition as core values; read once, since editions never change."""
    return _times(edition.pk, edition.number, edition.made_at)


@transaction.atomic
def new_edition(
    workshop: Workshop,
    changes: Iterable[Row],
    *,
    valid_from: date,
    by: User | None = None,
    note: str = "",
) -> StandardEdition:
    """The next edition: the latest one with some rows replaced.

    Rows are found by joint, operation and method. Raises RuleBroken or RulesBroken, naming
    "changes/<place>/<field>", for a row that is not in the latest edition or minutes that are none.
    """
    _hold(workshop)
    latest = StandardEdition.objects.of(workshop).first() or first_edition(workshop, by)
    rows = {_key(row): row for row in times_of(latest).rows}
    reader = Reader()
    for place, row in enumerate(changes):
        _check(reader.under(f"changes/{place}"), row, known=_key(row) in rows)
        rows[_key(row)] = row
    if valid_from < latest.valid_from:
        reader.refuse(
            "valid_from",
            f"The latest edition is valid from {latest.valid_from:%d %B %Y}; choose that day"
            " or a later one.",
        )
    words = reader.text("note", note, "the note", most=200)
    reader.settle()
    return _store(workshop, latest.number + 1, rows.values(), valid_from, words, by)


def changed_rows(of: StandardEdition, since: StandardEdition) -> tuple[tuple[Row, Row], ...]:
    """The rows of an edition that say other minutes than those of another one, each with that."""
    before = {_key(row): row for row in times_of(since).rows}
    pairs = [(row, before[_key(row)]) for row in times_of(of).rows if _key(row) in before]
    return tuple((row, old) for row, old in pairs if _minutes(row) != _minutes(old))


def roll_back(
    workshop: Workshop, to: StandardEdition, *, valid_from: date, by: User | None = None
) -> StandardEdition:
    """The next edition, with the minutes of an earlier one; nothing that is issued changes.

    Raises NotNow if the latest edition says the same, RuleBroken as `new_edition` does.
    """
    latest = StandardEdition.objects.of(workshop).first() or first_edition(workshop, by)
    rows = [row for row, _ in changed_rows(to, latest)]
    if not rows:
        raise NotNow(f"Edition {latest.number} has the minutes of edition {to.number} already.")
    note = f"As edition {to.number} again"
    return new_edition(workshop, rows, valid_from=valid_from, by=by, note=note)


def _minutes(row: Row) -> tuple[float, ...]:
    return row.setup_min, row.each_min, row.per_driver, row.spread


def _hold(workshop: Workshop) -> None:
    type(workshop).objects.select_for_update().get(pk=workshop.pk)


def _key(row: Row) -> tuple[str, str, Method]:
    return row.joint, row.operation, row.method


def _check(reader: Reader, row: Row, *, known: bool) -> None:
    if not known:
        reader.refuse(
            "operation",
            f"The latest edition has no {row.operation} of {row.joint or 'the order'} {row.method};"
            " change one of its rows.",
        )
    for field in ("setup_min", "each_min", "per_driver"):
        if not 0 <= getattr(row, field) <= LONGEST_MIN:
            reader.refuse(field, "Give minutes between 0 and 100,000.")
    if not 0 < row.spread <= MOST_SPREAD:
        reader.refuse("spread", "A spread lies above 0 and up to 3; 0.3 is usual at the bench.")


def _store(
    workshop: Workshop,
    number: int,
    rows: Iterable[Row],
    valid_from: date,
    note: str,
    by: User | None,
) -> StandardEdition:
    edition = StandardEdition.objects.create(
        workshop=workshop, number=number, valid_from=valid_from, note=note, made_by=by
    )
    StandardTime.objects.bulk_create(
        StandardTime(
            edition=edition,
            joint=row.joint,
            operation=row.operation,
            label=row.label,
            method=row.method.value,
            station_kind=row.station_kind.value,
            skill=row.skill.value,
            order=row.order,
            setup_min=row.setup_min,
            each_min=row.each_min,
            driver=row.driver,
            per_driver=row.per_driver,
            spread=row.spread,
            cuts_wood=row.cuts_wood,
            hold_to=row.hold_to,
            caution=row.caution,
            source=row.source,
        )
        for row in rows
    )
    return edition


@lru_cache(maxsize=64)
def _times(edition_id: int, number: int, made_at: datetime) -> StandardTimes:
    kept = tuple(
        Row(
            joint=row.joint,
            operation=row.operation,
            label=row.label,
            method=Method(row.method),
            station_kind=StationKind(row.station_kind),
            skill=Skill(row.skill),
            order=row.order,
            setup_min=row.setup_min,
            each_min=row.each_min,
            driver=row.driver,
            per_driver=row.per_driver,
            spread=row.spread,
            cuts_wood=row.cuts_wood,
            hold_to=row.hold_to,
            caution=row.caution,
            source=row.source,
        )
        for row in StandardTime.objects.filter(edition_id=edition_id).order_by("pk")
    )
    return StandardTimes(edition=number, rows=(*kept, *_newer_than(kept)))


def _newer_than(kept: Sequence[Row]) -> Iterator[Row]:
    """Starting rows of joint types and operations that came to the book after an edition was made."""
    joints = {row.joint for row in kept}
    own = {row.operation for row in kept if not row.joint}
    for row in starting_times().rows:
        if row.joint not in joints or (not row.joint and row.operation not in own):
            yield row
