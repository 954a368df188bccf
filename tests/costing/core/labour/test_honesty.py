"""Whether forecasts were honest."""

import math

import numpy as np
import pytest

from costing.core.distribution import Moments, distribution_of
from costing.core.labour.honesty import Foretold, honesty_of, ranked_score, rolling_origin
from tests.benchmarks.labour import LINES, Kind, Shop


def foretold(actual, mean=10.0, sd=2.0):
    hours = distribution_of(Moments(mean=mean, variance=sd**2))
    return Foretold(order="0001", day=0, hours=hours, actual=actual)


def test_score_is_that_of_many_draws():
    """CRPS = E|X - y| - E|X - X'| / 2, by simulation."""
    hours = foretold(1.0).hours
    sigma = math.sqrt(math.log1p(0.04))
    rng = np.random.default_rng(1)
    draws = 10 * np.exp(rng.normal(-(sigma**2) / 2, sigma, 400_000))
    others = rng.permutation(draws)
    for actual in (6.0, 10.0, 15.0):
        by_draws = np.abs(draws - actual).mean() - np.abs(draws - others).mean() / 2
        assert ranked_score(hours, actual) == pytest.approx(by_draws, rel=0.01)


def test_a_certain_forecast_scores_its_error():
    assert ranked_score(foretold(0, sd=0).hours, 13) == 3


def test_covered_kept_and_bias_by_hand():
    figures = honesty_of([foretold(10.0), foretold(30.0)])

    assert (figures.orders, figures.covered, figures.kept) == (2, 0.5, 0.5)
    p50 = foretold(1).hours.p50
    assert figures.bias == pytest.approx((p50 / 10 + p50 / 30) / 2 - 1)


def test_no_orders_have_no_honesty():
    assert honesty_of([]) is None


def shop_of(count):
    batches, clockings = Shop(np.random.default_rng(6), Kind(slips=(0, 0, 0))).history(count)
    orders = {}
    for batch, clocking in zip(batches, clockings, strict=True):
        orders.setdefault(clocking.order, []).append(batch.planned)
    return clockings, orders


def test_orders_are_foretold_from_those_before_and_better_as_time_goes_by():
    clockings, orders = shop_of(LINES * 60)

    found = rolling_origin(clockings, orders)

    assert [one.order for one in found] == [f"order {number}" for number in range(60)]
    first, last = honesty_of(found[:20]), honesty_of(found[40:])
    assert last.score < first.score
    assert last.width < first.width


def test_an_order_is_never_foretold_from_itself():
    clockings, orders = shop_of(LINES)

    (only,) = rolling_origin(clockings, orders)

    standard = sum(b.setup_min + b.pieces * b.each_min for b in orders["order 0"]) / 60
    assert only.hours.mean == pytest.approx(standard)
