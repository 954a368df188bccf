"""Stretches of time: joined where they overlap, and how much work they are."""

from datetime import UTC, datetime, timedelta

from shop.core.spans import Span, length, load_min, together

NINE = datetime(2026, 1, 5, 9, tzinfo=UTC)


def span(start: int, end: int) -> Span:
    return NINE + timedelta(minutes=start), NINE + timedelta(minutes=end)


def test_stretches_that_touch_or_overlap_are_one() -> None:
    assert together([span(30, 40), span(0, 20), span(10, 30)]) == (span(0, 40),)


def test_stretches_apart_stay_apart_in_order() -> None:
    assert together([span(30, 40), span(0, 20)]) == (span(0, 20), span(30, 40))
    assert length([span(30, 40), span(0, 20)]) == timedelta(minutes=30)


def test_what_a_hand_does_at_once_counts_once_and_what_a_station_does_each() -> None:
    work = [span(0, 60), span(30, 50)]
    assert load_min(work, of_hand=True) == 60
    assert load_min(work, of_hand=False) == 80
    assert load_min([], of_hand=False) == 0
