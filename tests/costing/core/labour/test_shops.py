"""The model on invented shops of known truth: loose bounds here, figures in the benchmark."""

import numpy as np
import pytest

from costing.core.labour import Change, hours_of, learn, learn_and_notice
from costing.core.labour.predict import moments_of
from tests.benchmarks.labour import Kind, Shop, clocking_of, draws, score


def test_the_model_comes_near_somebody_who_knows_the_truth():
    figures = score(300, 8, Kind(), 11)

    assert figures["to oracle"] < 1.25
    assert figures["rmse model"] < 0.75 * figures["rmse standards"]
    assert figures["rmse model"] < 0.6 * figures["rmse cell"]
    assert 0.70 < figures["covered"] < 0.92
    assert figures["found"] > 0.7
    assert figures["alarms"] < 0.03


def test_totals_in_closed_form_are_those_of_twenty_thousand_draws():
    shop = Shop(np.random.default_rng(4))
    learned = learn(shop.history(500)[1])
    order = [batch.planned for _ in range(8) for batch in shop.order()]

    hours, drawn = hours_of(learned, order), draws(learned, order, 20_000, shop.rng)

    for share in (0.5, 0.8, 0.9):
        assert hours.at(share) == pytest.approx(np.quantile(drawn, share), rel=0.02)


def with_a_jig(shop, clockings, count):
    """`count` more clockings of an operation that a jig has halved."""
    made, seen = list(clockings), 0
    for number in range(100):
        for place, batch in enumerate(shop.dirtied(shop.order(jig=3))):
            if batch.planned.operation == "operation 3" and seen < count:
                seen += 1
                made.append(clocking_of(batch, f"{number}/{place}", f"new {number}", 301 + number))
    return made


def test_a_jig_that_halves_an_operation_is_noticed_and_learned():
    shop = Shop(np.random.default_rng(12))
    clockings = shop.history(600)[1]

    learned = learn_and_notice(with_a_jig(shop, clockings, 20))

    change = learned.layout.changes[0]
    assert (change.operation, change.joint) == ("operation 3", "")
    assert 295 < change.day < 310
    work = [b.planned for b in shop.order() if b.planned.operation == "operation 3"]
    before, after = (moments_of(fit, work)[0].sum() for fit in (learn(clockings), learned))
    assert after / before == pytest.approx(0.5, rel=0.25)


def test_a_shop_that_goes_on_as_before_raises_no_alarm():
    shop = Shop(np.random.default_rng(13))

    assert learn_and_notice(shop.history(600)[1]).layout.changes == ()


def test_a_change_marked_by_a_person_is_learned_from_few_clockings():
    shop = Shop(np.random.default_rng(14))
    clockings = with_a_jig(shop, shop.history(600)[1], 4)
    jig = Change(operation="operation 3", method="hand", day=301)
    work = [b.planned for b in shop.order() if b.planned.operation == "operation 3"]

    told, untold = (
        moments_of(learn(clockings, changes=changes), work)[0].sum() for changes in ((jig,), ())
    )

    assert told < 0.75 * untold


def test_bad_clockings_do_little_harm():
    clean = score(300, 6, Kind(slips=(0, 0, 0)), 21)["rmse model"]
    bad = score(300, 6, Kind(slips=(0.09, 0.04, 0.02)), 21)["rmse model"]

    assert bad < 1.25 * clean
