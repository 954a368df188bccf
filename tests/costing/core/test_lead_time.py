"""When work would be done, after what is in hand."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.core.lead_time import OpenDay, lead_time

MONDAY = date(2026, 3, 2)


def a_week(*hands_min, days=5):
    return [
        OpenDay(on=MONDAY + timedelta(number), hands_min=hands_min or (480.0,))
        for number in range(days)
    ]


def test_what_is_in_hand_comes_first():
    """Two hands of 8 h: 16 h are in hand, then 8 h of two hands are half of Tuesday."""
    found = lead_time(a_week(480.0, 480.0), before_min=960, own_min=480)

    assert (found.working_days, found.done_on) == (2, MONDAY + timedelta(1))
    assert (found.before_h, found.hours) == (16, 8)


def test_no_more_than_two_hands_work_on_one_order():
    found = lead_time(a_week(480.0, 480.0, 480.0, 480.0), before_min=0, own_min=1920)

    assert found.working_days == 2


def test_a_day_without_anybody_is_no_working_day():
    days = [OpenDay(on=MONDAY, hands_min=(0.0,)), *a_week()[1:]]

    assert lead_time(days, before_min=0, own_min=60).working_days == 1


def test_nobody_at_work_gives_no_day():
    assert lead_time([], before_min=0, own_min=60) is None
    assert lead_time(a_week(days=1), before_min=480, own_min=60) is None


@given(st.floats(0, 2000), st.floats(1, 2000), st.floats(0, 400))
def test_more_work_is_never_done_earlier(before, own, more):
    days = a_week(480.0, 300.0, days=60)
    first = lead_time(days, before_min=before, own_min=own)

    assert lead_time(days, before_min=before + more, own_min=own).done_on >= first.done_on
    assert lead_time(days, before_min=before, own_min=own + more).done_on >= first.done_on


@pytest.mark.parametrize("own", [960.0, 1920.0])
def test_alone_in_the_shop_two_hands_share_it(own):
    assert lead_time(a_week(480.0, 480.0), before_min=0, own_min=own).working_days == own / 960
