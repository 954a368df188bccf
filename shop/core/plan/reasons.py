"""Why a task is not where it was: the first cause that can be named, followed back from task to task.

A task that starts later does so because its station or hand is closed, or because of what comes
before it, or because another task has its place; that other one has a cause of its own.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from shop.core.plan.minding import may_go_together
from shop.core.plan.problem import Problem, Resource, Task
from shop.core.plan.schedule import Booking

SLIGHT = timedelta(minutes=15)
DEEPEST = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """What moved a task.

    Kinds: "closed" (`resource` is closed until `until`, for `reason`), "late" (`task` should have
    begun before now), "new" (`task` was not in the plan before), "waits" (for `task`, which takes
    longer or was moved for no cause that can be named), "collection" (`task` is collected at
    `until` at the soonest), "away" (until `until`, after `task`), "place" (`task` now has its place
    on `resource`), "pin", "release" (until `until`), "sooner", "staff" (only station or hands
    changed).
    """

    kind: str
    task: str = ""
    resource: str = ""
    until: datetime | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A task in another place than before, and why."""

    task: str
    before: Booking
    after: Booking
    cause: Cause

    @property
    def shift(self) -> timedelta:
        """How much later it starts; negative for sooner."""
        return self.after.start - self.before.start


def changes(
    problem: Problem, before: Mapping[str, Booking], after: Mapping[str, Booking]
) -> tuple[Change, ...]:
    """The tasks that are in both plans and moved, the earliest of the new plan first.

    A start that is off by a quarter of an hour at most, with the same crew, is no change.
    """
    causes = _Causes(problem, before, after)
    found = [
        Change(task=key, before=before[key], after=after[key], cause=causes.of(key))
        for key in after
        if key in before and is_change(before[key], after[key])
    ]
    return tuple(sorted(found, key=lambda change: (change.after.start, change.task)))


def is_change(before: Booking, after: Booking) -> bool:
    """Whether somebody would notice."""
    crews = [(b.station, set(b.hands)) for b in (before, after)]
    return abs(after.start - before.start) > SLIGHT or crews[0] != crews[1]


class _Causes:
    def __init__(
        self, problem: Problem, before: Mapping[str, Booking], after: Mapping[str, Booking]
    ) -> None:
        self.problem, self.before, self.after = problem, before, after
        self.tasks = {task.key: task for task in problem.tasks}
        self.resources = {resource.key: resource for resource in problem.resources}
        self.on: dict[str, list[Booking]] = {}
        for booking in after.values():
            for key in _crew(booking):
                self.on.setdefault(key, []).append(booking)

    def of(self, key: str) -> Cause:
        """The first cause, along the tasks that hold one another up."""
        seen: list[str] = []
        cause = Cause(kind="waits", task=key)
        while key not in seen and len(seen) < DEEPEST:
            seen.append(key)
            found = self._next(key)
            if found is None:
                break
            cause = found
            if cause.kind not in ("waits", "place") or not cause.task:
                return cause
            if cause.task not in self.before:
                return Cause(kind="new", task=cause.task)
            if not self._is_later(cause.task):
                return cause
            key = cause.task
        return cause

    def _is_later(self, key: str) -> bool:
        return self.after[key].start - self.before[key].start > SLIGHT

    def _next(self, key: str) -> Cause | None:
        """What holds this one task up."""
        task, old, new = self.tasks[key], self.before[key], self.after[key]
        if task.pinned_start is not None and task.pinned_start == new.start:
            return Cause(kind="pin", task=key)
        if new.start < old.start - SLIGHT:
            return Cause(kind="sooner", task=key)
        if new.start <= old.start + SLIGHT:
            return self._closed(task, old) or Cause(kind="staff", task=key)
        return (
            self._closed(task, old)
            or self._released(task, old)
            or self._waits(task, old)
            or self._taken(old, new)
            or (Cause(kind="late", task=key) if old.start < self.problem.now else None)
        )

    def _closed(self, task: Task, old: Booking) -> Cause | None:
        for key in _crew(old):
            resource = self.resources.get(key)
            if resource is None:
                return Cause(kind="closed", task=task.key, resource=key)
            for start, end, reason in self._closures(resource):
                # What touches the old place counts, if it begins in it or before.
                if start < old.end and end > max(old.start, self.problem.now):
                    return Cause(
                        kind="closed", task=task.key, resource=key, until=end, reason=reason
                    )
        return None

    def _closures(self, resource: Resource) -> Iterator[tuple[datetime, datetime, str]]:
        calendar = self.problem.calendars.get(resource.calendar)
        for closure in calendar.closures if calendar is not None else ():
            yield closure.start, closure.end, closure.reason

    def _released(self, task: Task, old: Booking) -> Cause | None:
        if task.release is not None and task.release > old.start:
            return Cause(kind="release", task=task.key, until=task.release)
        return None

    def _waits(self, task: Task, old: Booking) -> Cause | None:
        ready = [
            (self.after[key].end + timedelta(minutes=task.lag_min), key)
            for key in task.after
            if key in self.after
        ]
        last = max(ready, default=None)
        if last is None or last[0] <= old.start:
            return None
        # Curing has no place of its own in the plan that is known: what it follows has.
        key = last[1]
        gone: Booking | None = None
        while key not in self.before and self.tasks[key].after:
            gone = self.after[key] if self.tasks[key].away is not None else None
            earlier = self.tasks[key].after
            key = max(earlier, key=lambda k: self.after[k].end)
        if gone is not None and key in self.before and not self._is_later(key):
            if gone.start > self.after[key].end + SLIGHT:
                return Cause(kind="collection", task=key, until=gone.start)
            return Cause(kind="away", task=key, until=gone.end)
        return Cause(kind="waits", task=key)

    def _taken(self, old: Booking, new: Booking) -> Cause | None:
        """Who now works where this task was, on the station first."""
        for resource in _crew(new):
            for other in self.on.get(resource, ()):
                is_there = other.start < new.start and other.end > old.start
                is_there = is_there and other.end <= new.start + SLIGHT
                if is_there and other.task != new.task and not self._go_together(old, other):
                    return Cause(kind="place", task=other.task, resource=resource)
        return None

    def _go_together(self, old: Booking, other: Booking) -> bool:
        """Whether a hand could have done both; nobody's place is taken then."""
        if old.station == other.station:
            return False
        ways = (
            (self.tasks[b.task], self.resources.get(b.station or ""), len(b.hands))
            for b in (old, other)
        )
        return may_go_together(self.problem, *ways)


def _crew(booking: Booking) -> tuple[str, ...]:
    station = () if booking.station is None else (booking.station,)
    return (*station, *booking.hands)
