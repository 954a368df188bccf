"""Tells the demo at an instant."""

from datetime import UTC, datetime

from django.utils import timezone

from costing.management.demo import planned
from costing.management.demo.telling import tell

WEDNESDAY = datetime(2026, 3, 18, 10, 40, tzinfo=UTC)


def told_at(now, patch, **more):
    """The demo as it is told at an instant, with the plan's problem and schedule."""
    seen = []

    def plan(problem, **more):
        seen.append((problem, make_plan(problem, **more)))
        return seen[-1][1]

    make_plan = planned.make_plan
    patch.setattr(timezone, "now", lambda: now)
    patch.setattr(planned, "make_plan", plan)
    return tell(now, **more), seen
