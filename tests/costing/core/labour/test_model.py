"""What is learned from clockings: laws that hold whatever was clocked, and shops of known truth."""

import math
import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.core.labour import (
    BatchClocking,
    PlannedBatch,
    Priors,
    hours_of,
    learn,
    standards_of,
    suspects_of,
    weight_of,
)
from costing.core.labour.design import ALL_WORK
from costing.core.labour.predict import moments_of
from orders.core.errors import RulesBroken
from tests.benchmarks.labour import Shop


def a_clocking(number=0, **changes):
    """A hundred minutes' standard, taken to the minute."""
    plain = {
        "key": f"clocking {number}",
        "joint": "mortise-tenon",
        "operation": "chop",
        "hand": "Ann",
        "order": f"order {number}",
        "taken_min": 100.0,
        "each_min": 10.0,
        "pieces": 10,
    }
    return BatchClocking(**(plain | changes))


def a_history(count=300, seed=1):
    return Shop(np.random.default_rng(seed)).history(count)[1]


def an_order(seed=2):
    return [batch.planned for batch in Shop(np.random.default_rng(seed)).order()]


def ratios(learned):
    return {
        (line.joint, line.operation): (line.each_ratio, line.setup_ratio)
        for line in standards_of(learned)
    }


def test_with_no_clockings_the_standards_stand():
    order = an_order()
    standard = sum(batch.setup_min + batch.pieces * batch.each_min for batch in order) / 60

    hours = hours_of(learn([]), order)

    assert hours.mean == pytest.approx(standard, rel=1e-12)
    assert hours.p50 < hours.mean < hours.p80 < hours.p90
    assert standards_of(learn([])) == ()


@given(seed=st.integers(0, 1000))
@settings(max_examples=10)
def test_the_order_in_which_clockings_come_changes_nothing(seed):
    clockings = a_history(60, seed)
    shuffled = list(clockings)
    random.Random(seed).shuffle(shuffled)

    assert ratios(learn(shuffled)) == ratios(learn(clockings))


def test_other_names_of_hands_and_orders_change_nothing():
    clockings = a_history()
    renamed = [
        replace(row, hand=f"Z{row.hand[::-1]}", order=f"{row.order[::-1]} x") for row in clockings
    ]

    one, other = learn(clockings), learn(renamed)

    for cell, found in ratios(one).items():
        assert ratios(other)[cell] == pytest.approx(found, rel=1e-9)
    assert hours_of(one, an_order()).p80 == pytest.approx(hours_of(other, an_order()).p80, rel=1e-9)


def test_the_same_clockings_twice_change_nothing():
    clockings = a_history()

    assert ratios(learn(clockings + clockings)) == ratios(learn(clockings))


def test_half_the_minutes_at_half_the_standards_are_half_the_hours():
    clockings = a_history()
    halved = [
        replace(
            row,
            taken_min=row.taken_min / 2,
            setup_min=row.setup_min / 2,
            each_min=row.each_min / 2,
        )
        for row in clockings
    ]
    order = an_order()
    half = [replace(b, setup_min=b.setup_min / 2, each_min=b.each_min / 2) for b in order]

    whole = hours_of(learn(clockings), order)

    assert hours_of(learn(halved), half).p80 == pytest.approx(whole.p80 / 2, rel=1e-9)


def test_one_cell_moves_as_far_as_the_normal_posterior_says():
    """One joint, one operation, orders and hands held at nothing: weight k/s2 over k/s2 + 1/sd2.

    Source: the mean of a normal posterior; any text on Bayesian statistics.
    """
    tiny, firm = 1e-4, 10_000
    priors = Priors(
        all_work=0.35, operation=tiny, joint=tiny, cell=tiny, setup=tiny, hand=tiny,
        hand_operation=tiny, order=tiny, hardness=tiny, size=tiny, batch=tiny,
        error_share=1e-9, group_weight=firm, residual_weight=firm,
    )  # fmt: skip
    taken = 100 * math.exp(0.2)
    clockings = [a_clocking(number, taken_min=taken) for number in range(5)]

    learned = learn(clockings, priors)

    (line,) = standards_of(learned)
    spread = math.sqrt(learned.variances["residual"])
    due = weight_of(5, spread, 0.35) * (0.2 + spread**2 / 2)
    assert math.log(line.each_ratio) == pytest.approx(due, abs=1e-4)


def test_what_takes_twice_as_long_is_learned_to_take_twice_as_long():
    clockings = [
        a_clocking(number, taken_min=200 * math.exp(0.1 * (-1) ** number)) for number in range(200)
    ]

    (line,) = standards_of(learn(clockings))

    assert line.each_ratio == pytest.approx(2, rel=0.12)
    assert line.each_low < line.each_ratio < line.each_high
    assert line.is_worth_proposing()
    assert line.clockings == 200
    assert 0.9 < line.weight <= 1


def test_what_goes_to_standard_is_not_worth_a_proposal():
    (line,) = standards_of(learn([a_clocking(number) for number in range(50)]))

    assert not line.is_worth_proposing()


def test_setup_and_pieces_are_told_apart():
    rng = np.random.default_rng(3)
    clockings = []
    for number in range(400):
        pieces = int(rng.integers(1, 30))
        minutes = (60 + 5 * pieces) * math.exp(rng.normal(0, 0.1))
        clockings.append(
            a_clocking(number, pieces=pieces, setup_min=30, each_min=5, taken_min=minutes)
        )

    (line,) = standards_of(learn(clockings))

    assert line.setup_ratio == pytest.approx(2, rel=0.2)
    assert line.each_ratio == pytest.approx(1, rel=0.1)


def test_a_joint_never_clocked_leans_on_the_operation():
    slow = [a_clocking(number, taken_min=150) for number in range(100)]
    learned = learn(slow)
    new = PlannedBatch(joint="bridle", operation="chop", each_min=10, pieces=10)
    other = PlannedBatch(joint="bridle", operation="plane", each_min=10, pieces=10)

    chopping, planing = (hours_of(learned, [batch]).mean for batch in (new, other))

    assert chopping > planing > 100 / 60


def test_what_is_not_known_of_a_time_raises_its_mean_once_there_are_clockings():
    """A lognormal's mean lies above its middle by half the variance."""
    learned = learn([a_clocking(number) for number in range(40)])
    new = [PlannedBatch(joint="bridle", operation="chop", each_min=100.0)]
    columns = learned.layout.columns
    named = {"operation": ("chop", "hand"), "hand": "Ann", "hand_operation": ("Ann", "chop")}
    known = [columns[group][name] for group, name in named.items()]
    middle = 100 * math.exp(learned.effects[[ALL_WORK, *known]].sum())

    means, shared = moments_of(learned, new)

    assert middle * 1.005 < means[0] < middle * math.exp(shared[0, 0] / 2)


def test_old_clockings_fade():
    old = [a_clocking(number, taken_min=200, day=0) for number in range(20)]
    fresh = [a_clocking(100 + number, taken_min=100, day=1460) for number in range(20)]

    (line,) = standards_of(learn(old + fresh))

    assert line.each_ratio < 1.3
    assert line.effective < 23


def test_a_clocking_left_running_is_put_before_a_person_and_kept():
    clockings = [a_clocking(number, taken_min=100 + number % 7) for number in range(60)]
    clockings[30] = replace(clockings[30], taken_min=5000)

    learned = learn(clockings)

    assert [suspect.clocking.key for suspect in suspects_of(learned)] == ["clocking 30"]
    assert suspects_of(learned)[0].ratio > 10
    assert len(learned.table) == 60


def test_one_clocking_made_fifty_fold_moves_no_total_by_a_hundredth():
    clockings = a_history(1000)
    spoiled = list(clockings)
    spoiled[500] = replace(spoiled[500], taken_min=spoiled[500].taken_min * 50)

    before, after = (hours_of(learn(rows), an_order()).mean for rows in (clockings, spoiled))

    assert after == pytest.approx(before, rel=0.01)


def test_intervals_narrow_as_clockings_come():
    few, many = (learn(a_history(count, 5)) for count in (50, 1000))

    widths = [
        sum(line.each_high / line.each_low for line in standards_of(learned))
        / len(standards_of(learned))
        for learned in (few, many)
    ]

    assert widths[1] < widths[0]


def test_progress_is_told():
    heard = []
    learn(a_history(100), heard=heard.append)

    assert heard == sorted(heard)
    assert 0 < heard[0] <= heard[-1] <= 1


def test_a_hand_nobody_knows_makes_an_order_less_sure():
    learned = learn(a_history(500))
    batch = an_order()[0]

    somebody, stranger = (
        hours_of(learned, [replace(batch, hand=hand)]) for hand in ("hand 0", "new hand")
    )

    assert stranger.sd / stranger.mean > somebody.sd / somebody.mean


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"taken_min": 0.0}, "taken_min"),
        ({"taken_min": math.nan}, "taken_min"),
        ({"each_min": -1.0}, "each_min"),
        ({"setup_min": math.inf}, "setup_min"),
        ({"pieces": 0}, "pieces"),
        ({"size_ratio": 0.0}, "size_ratio"),
        ({"day": math.inf}, "day"),
    ],
)
def test_figures_that_cannot_be_are_named(change, field):
    with pytest.raises(RulesBroken) as caught:
        learn([a_clocking(0), a_clocking(1, **change)])
    assert caught.value.errors[0].field == f"clockings/1/{field}"


def test_priors_that_cannot_be_are_named():
    with pytest.raises(RulesBroken) as caught:
        learn([a_clocking()], Priors(hand=0))
    assert caught.value.errors[0].field == "priors/hand"


def test_planned_work_that_cannot_be_is_named():
    with pytest.raises(RulesBroken) as caught:
        hours_of(learn([]), [PlannedBatch(joint="a", operation="b", each_min=math.nan)])
    assert caught.value.errors[0].field == "batches/0/each_min"


def test_nothing_to_do_takes_no_time():
    assert hours_of(learn([]), []).mean == 0
