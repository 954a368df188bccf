"""The story of the demo can be told on any day, and is the same each time."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import transaction

from costing.models import Quote
from orders.core.stages import Stage
from orders.models import Commission
from shop.core.plan.check import check
from shop.models import Clocking
from tests.costing.management.story import WEDNESDAY, told_in_short

pytestmark = [pytest.mark.slow, pytest.mark.django_db]


def what_happened(shop, until):
    """All that was quoted, and clocked before an instant."""
    return (
        list(Quote.objects.of(shop).order_by("pk").values_list("net", "state", "issued_at")),
        list(
            Clocking.objects.of(shop)
            .filter(started_at__lt=until)
            .order_by("started_at", "hand__name")
            .values_list("operation__number", "hand__name", "started_at", "ended_at", "pieces")
        ),
    )


@pytest.mark.parametrize(
    "now",
    [
        datetime(2026, 3, 22, 21, 0, tzinfo=UTC),
        datetime(2026, 3, 30, 4, 0, tzinfo=UTC),
        datetime(2027, 1, 1, 16, 20, tzinfo=UTC),
    ],
    ids=["a Sunday", "before work, after the clocks changed", "a Friday evening in winter"],
)
def test_the_story_can_be_told_on_any_day(now, monkeypatch):
    shop, ((problem, schedule),) = told_in_short(now, monkeypatch)
    assert check(problem, schedule) == ()
    assert set(Commission.objects.of(shop).values_list("stage", flat=True)) == set(Stage)
    assert not Clocking.objects.of(shop).filter(started_at__gt=now).exists()


def test_the_same_day_tells_the_same_story(monkeypatch):
    stories = []
    for _ in range(2):
        with transaction.atomic():
            shop, _ = told_in_short(WEDNESDAY, monkeypatch)
            stories.append(what_happened(shop, WEDNESDAY - timedelta(days=1)))
            transaction.set_rollback(True)
    assert stories[0] == stories[1]
    assert len(stories[0][1]) > 150
