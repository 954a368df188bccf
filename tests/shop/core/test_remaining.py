"""What is left of work begun."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.core.remaining import LEAST_MIN, rest_min


def rest(**more):
    return rest_min(**{"setup_min": 5, "each_min": 10, "pieces": 4, "pieces_done": 0, **more})


def test_untouched_work_is_its_standard_time():
    assert rest() == 45


def test_the_set_up_is_not_repeated():
    assert rest(pieces_done=1, used_min=20) == 30


def test_minutes_without_a_piece_go_off_the_rest():
    assert rest(used_min=15, uncounted_min=15) == 30
    assert rest(pieces_done=1, used_min=27, uncounted_min=7) == 23


def test_the_clock_alone_finishes_nothing():
    assert rest(used_min=500, uncounted_min=500) == pytest.approx(4)
    assert rest(each_min=0.1, pieces_done=3, used_min=50, uncounted_min=50) == LEAST_MIN


@given(
    done=st.integers(0, 3),
    used=st.floats(0, 1000),
    share=st.floats(0, 1),
)
def test_one_piece_more_never_leaves_more_to_do(done, used, share):
    before = rest(pieces_done=done, used_min=used, uncounted_min=used * share)
    after = rest(pieces_done=done + 1, used_min=used, uncounted_min=used * share)
    assert after <= before + 1e-9
