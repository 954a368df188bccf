"""Why an operation cannot begin yet: what comes before it, glue that cures, work that is away."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from orders.core.times import StationKind
from orders.models import Operation
from orders.services.release import GONE

from .outwork import Outwork, goes_away


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """One thing an operation waits for; `until` is known once it is done, but cures or is away."""

    operation_id: int
    mark: str
    name: str
    until: datetime | None = None
    is_away: bool = False

    def words(self, zone: ZoneInfo) -> str:
        """The reason as a person at the bench would say it."""
        if self.until is None:
            return f"“{self.name}” ({self.mark}) must be done first"
        local = self.until.astimezone(zone)
        if self.is_away:
            return f"“{self.name}” ({self.mark}) is away until {local:%A %d %B}"
        return f"“{self.name}” ({self.mark}) cures until {local:%A %H:%M}"


def waits_of(operation: Operation, at: datetime) -> list[Wait]:
    """What still keeps `operation` from being begun at the instant `at`, in working order."""
    earlier = list(operation.after.select_related("commission__workshop").order_by("number"))
    return waits_among(operation, earlier, at, rounds_after(earlier))


def is_handed_on(before: Operation, operation: Operation) -> bool:
    """Whether pieces go on from one operation to the next before all of them are done.

    They may in an assembly, where both do as many and nothing cures between; common practice, no
    source.
    """
    alike = (before.assembly_id, before.pieces) == (operation.assembly_id, operation.pieces)
    return alike and not is_held(before)


def _has_a_batch(operation: Operation, earlier: Sequence[Operation]) -> bool:
    """Whether the one operation that is not done has handed on as many pieces as it is to."""
    before = next((one for one in earlier if one.state not in GONE), None)
    if before is None or not before.pieces_done or not is_handed_on(before, operation):
        return False
    return 0 < operation.commission.workshop.batch_pieces <= before.pieces_done


def waits_among(
    operation: Operation, earlier: Sequence[Operation], at: datetime, rounds: Outwork | None
) -> list[Wait]:
    """The same, of operations before it and rounds after them that have been read already."""
    found = []
    for before in earlier:
        until = followed_at(before, rounds)
        if before.state not in GONE or (until is not None and until > at):
            found.append(
                Wait(
                    operation_id=before.pk,
                    mark=before.mark,
                    name=before.name,
                    until=until if before.state == Operation.State.DONE else None,
                    is_away=before.station_kind == StationKind.OUTWORK,
                )
            )
    return [] if len(found) == 1 and _has_a_batch(operation, earlier) else found


def is_held(operation: Operation) -> bool:
    """Whether pieces are held after it before anything follows: glue cures, outwork is away."""
    return is_sent(operation) or operation.cure_min > 0


def is_sent(operation: Operation) -> bool:
    """Whether pieces are away after it."""
    is_outwork = operation.station_kind == StationKind.OUTWORK
    return is_outwork and goes_away(operation.commission.workshop)


def rounds_after(operations: Iterable[Operation]) -> Outwork | None:
    """When what is sent after finished operations of a workshop goes out and comes back, read once.

    None where nothing is.
    """
    sent = [one for one in operations if one.state == Operation.State.DONE and is_sent(one)]
    since = min((one.done_at for one in sent if one.done_at is not None), default=None)
    return None if since is None else Outwork.of(sent[0].commission.workshop, since)


def followed_at(operation: Operation, rounds: Outwork | None) -> datetime | None:
    """When what follows a finished operation may begin; None if it is not finished.

    `rounds` are those after it and others.
    """
    done_at = operation.done_at
    if operation.state != Operation.State.DONE or done_at is None:
        return None
    if rounds is not None and is_sent(operation):
        return rounds.trip(done_at)[1]
    return done_at + timedelta(minutes=operation.cure_min)
