"""Minding a running machine: which work goes together, and what is paid of it."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.core.minding import WHOLE, Attention, Share, share_at, unpaid
from shop.core.spans import length

EIGHT = datetime(2026, 1, 5, 8, tzinfo=UTC)


def at(minutes: int) -> datetime:
    return EIGHT + timedelta(minutes=minutes)


def span(start: int, end: int) -> tuple[datetime, datetime]:
    return at(start), at(end)


def test_a_machine_that_may_be_left_is_minded_and_light_work_beside_it_is_light():
    assert share_at("hall", may_be_left=True, is_light=False) == Share(Attention.MINDED, "hall")
    assert share_at("hall", may_be_left=False, is_light=True) == Share(Attention.LIGHT, "hall")
    assert share_at("hall", may_be_left=False, is_light=False) == WHOLE
    assert share_at("", may_be_left=True, is_light=True) == WHOLE


MINDED, LIGHT = Share(Attention.MINDED, "hall"), Share(Attention.LIGHT, "hall")


@pytest.mark.parametrize(
    ("one", "other", "goes"),
    [
        (MINDED, LIGHT, True),
        (LIGHT, MINDED, True),
        (MINDED, MINDED, False),
        (LIGHT, LIGHT, False),
        (MINDED, Share(Attention.LIGHT, "yard"), False),
        (MINDED, WHOLE, False),
        (WHOLE, WHOLE, False),
    ],
)
def test_only_a_minded_run_and_light_work_of_its_area_go_together(one, other, goes):
    assert one.goes_with(other) is goes


def test_minutes_of_light_work_beside_a_run_are_not_paid_to_the_run():
    light = [span(-30, 10), span(20, 50), span(110, 200), span(300, 400)]
    assert unpaid(span(0, 120), light) == timedelta(minutes=10 + 30 + 10)
    assert unpaid(span(0, 120), []) == timedelta()


WORK = st.lists(st.tuples(st.integers(0, 500), st.integers(1, 90)), max_size=8)


def in_a_row(work: list[tuple[int, int]]) -> list[tuple[datetime, datetime]]:
    """Stretches that do not overlap, as one kind of a hand's work cannot."""
    found, clock = [], 0
    for gap, minutes in work:
        found.append(span(clock + gap, clock + gap + minutes))
        clock += gap + minutes
    return found


@given(WORK, WORK)
def test_every_minute_of_a_hand_is_paid_once(runs, light):
    minded, lightly = in_a_row(runs), in_a_row(light)
    paid = sum((end - start - unpaid((start, end), lightly) for start, end in minded), timedelta())
    paid += sum((end - start for start, end in lightly), timedelta())
    at_work = {
        minute
        for start, end in [*minded, *lightly]
        for minute in range(int((start - EIGHT) / timedelta(minutes=1)),
                            int((end - EIGHT) / timedelta(minutes=1)))
    }  # fmt: skip
    assert paid == timedelta(minutes=len(at_work)) == length([*minded, *lightly])
