"""How sure a total is, as a drawing."""

import re
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from costing.core.distribution import Moments, distribution_of
from costing.web.spread import LETTER, spread_of


def drawn(mean, sd, price=None, width=640.0):
    total = distribution_of(Moments(mean=mean, variance=sd**2))
    return spread_of(total, lambda value: f"{value:,.0f}", noun="Cost", price=price, width=width)


@given(
    mean=st.floats(1, 1e6),
    share=st.floats(0, 1),
    price=st.floats(0, 2e6) | st.none(),
    width=st.sampled_from([312.0, 640.0]),
)
def test_nothing_overlaps_or_leaves_the_frame(mean, share, price, width):
    spread = drawn(mean, mean * share, price, width)

    ends = [
        (mark.text_at - len(mark.words) * LETTER / 2, mark.text_at + len(mark.words) * LETTER / 2)
        for mark in spread.marks
    ]
    assert all(left >= -0.1 and right <= width + 0.1 for left, right in ends)
    assert all(a[1] <= b[0] + 0.1 for a, b in pairwise(ends))
    figures = [float(x) for x in re.findall(r"[ML](-?\d+\.?\d*) ", spread.curve)]
    assert min(figures) >= -0.1
    assert max(figures) <= width + 0.1


def test_marks_stand_in_their_order():
    spread = drawn(1000, 200, 1200)

    places = [mark.at for mark in spread.marks]
    assert places == sorted(places)
    assert spread.price is not None
    assert spread.over.endswith("Z")


def test_a_price_above_all_that_can_happen_has_nothing_beyond_it():
    low, high = drawn(1000, 10, 900), drawn(1000, 10, 5000)

    assert low.over.count("L") > high.over.count("L")
    assert high.price is not None
    assert high.price.at == high.end
