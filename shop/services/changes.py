"""What a new plan changes in the one the shop works to, in words that can be told at the bench."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from shop.core.plan import schedule as core
from shop.core.plan.problem import Problem
from shop.core.plan.reasons import Cause, Change, changes

from .keys import row_of

MOST = 300


def changes_in(
    problem: Problem,
    before: Mapping[str, core.Booking],
    after: Mapping[str, core.Booking],
    zone: ZoneInfo,
) -> list[dict[str, Any]]:
    """The operations that move, the first to begin first, each with its reason; at most 300.

    `shift_min` is how much later an operation starts, in minutes; negative for sooner.
    """
    words = Words(problem, zone)
    return [
        {
            "operation": row_of(change.task),
            "was_at": change.before.start.isoformat(),
            "now_at": change.after.start.isoformat(),
            "shift_min": change.shift / timedelta(minutes=1),
            "why": words.why(change),
        }
        for change in changes(problem, before, after)
        if row_of(change.task) is not None
    ][:MOST]


class Words:
    """Sentences about the tasks and resources of a problem, on the clock of a workshop."""

    def __init__(self, problem: Problem, zone: ZoneInfo) -> None:
        self.now, self.zone = problem.now, zone
        self.names = {task.key: task.name for task in problem.tasks}
        self.names |= {each.key: each.label or each.key for each in problem.resources}
        self.crews = {each.key: each.kind for each in problem.resources}

    def why(self, change: Change) -> str:
        """One sentence: where it goes and what moved it."""
        return f"{self._where(change)} {self._because(change, change.cause)}."

    def _where(self, change: Change) -> str:
        if change.cause.kind == "staff":
            who = [self.names[key] for key in (change.after.station, *change.after.hands) if key]
            return f"Goes to {' with '.join(who)}"
        return f"Moved to {self.when(change.after.start)}"

    def _because(self, change: Change, cause: Cause) -> str:
        name = f"“{self.names.get(cause.task, cause.task)}”"
        what = self.names.get(cause.resource, "what it was on")
        match cause.kind:
            case "closed" if cause.until is None:
                return "because what it was planned on is no longer in use"
            case "closed":
                away = "is away" if self.crews.get(cause.resource) == "hand" else "is closed"
                reason = f" ({cause.reason})" if cause.reason else ""
                return f"because {what} {away} until {self.when(cause.until)}{reason}"
            case "late" if cause.task == change.task:
                return "because it has not been begun"
            case "late":
                return f"because {name} has not been begun"
            case "new":
                return f"because {name} has come in"
            case "waits" if cause.task != change.task:
                return f"because {name} before it ends later"
            case "collection":
                return f"because {name} waits for the collection on {self.when(cause.until)}"
            case "away":
                return f"because {name} is away until {self.when(cause.until)}"
            case "place":
                return f"because {name} goes before it on {what}"
            case "pin" if cause.task == change.task:
                return "because it is pinned there"
            case "pin":
                return f"because {name} is pinned"
            case "release":
                whose = "it" if cause.task == change.task else name
                return f"because {whose} cannot begin before {self.when(cause.until)}"
            case "sooner":
                return "because there is room sooner"
            case "staff":
                return "because that suits the rest of the plan"
        return "because that makes the whole plan better"

    def when(self, at: datetime | None) -> str:
        """A weekday and time within the week, else with its date."""
        if at is None:
            return "later"
        local = at.astimezone(self.zone)
        near = abs(at - self.now) < timedelta(days=6)
        return f"{local:%A %H:%M}" if near else f"{local:%A %-d %B, %H:%M}"
