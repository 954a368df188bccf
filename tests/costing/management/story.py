"""Tells the demo at an instant."""

from datetime import UTC, datetime

from django.utils import timezone

from costing.management.demo import billing, planned, selling
from costing.management.demo.telling import tell

WEDNESDAY = datetime(2026, 3, 18, 10, 40, tzinfo=UTC)


def told_in_short(now, patch):
    """The same without the orders of earlier months, and with blank papers."""
    patch.setattr(selling, "quotation_of_quote", lambda quote, said: b"%PDF-")
    patch.setattr(billing, "invoice_of_workshop", lambda said, workshop: b"%PDF-")
    return told_at(now, patch, with_earlier=False)


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
