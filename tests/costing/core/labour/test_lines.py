"""Estimated against taken minutes."""

import math
import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.core.labour import (
    LabourRecord,
    labour_by_joint_type,
    shrunk_standard,
    weight_of,
)
from orders.core.errors import RuleBroken


def a_clocking(taken_min, **changes):
    plain = {"joint_type": "mortise-tenon", "operation": "Chop mortises", "standard_min": 40.0}
    return LabourRecord(taken_min=taken_min, **(plain | changes))


def test_totals_ratio_and_interval_by_hand():
    """Logs of 0.5, 1 and 2: mean 0, s = ln 2, t(0.9; 2) = 1.8856."""
    (line,) = labour_by_joint_type([a_clocking(20), a_clocking(40, count=3), a_clocking(80)])
    assert (line.batches, line.clockings, line.pieces) == (3, 3, 5)
    assert (line.standard_min, line.taken_min) == (120, 140)
    assert line.total_ratio == pytest.approx(140 / 120)
    assert line.ratio == pytest.approx(1)
    assert line.high == pytest.approx(math.exp(1.88562 * math.log(2) / math.sqrt(3)), rel=1e-5)
    assert line.low == pytest.approx(1 / line.high)


def test_one_clocking_is_too_few_for_an_interval():
    (line,) = labour_by_joint_type([a_clocking(50)])
    assert (line.low, line.high) == (None, None)
    assert "too few" in line.note
    assert line.ratio == pytest.approx(1.25)


def test_each_joint_type_and_operation_has_its_line():
    lines = labour_by_joint_type(
        [a_clocking(40), a_clocking(30, operation="Saw tenons"), a_clocking(9, joint_type="butt")]
    )
    assert [(line.joint_type, line.operation) for line in lines] == [
        ("butt", "Chop mortises"),
        ("mortise-tenon", "Chop mortises"),
        ("mortise-tenon", "Saw tenons"),
    ]


@pytest.mark.parametrize("minutes", [0, -5, math.nan, math.inf])
def test_minutes_that_cannot_be_are_named(minutes):
    with pytest.raises(RuleBroken) as caught:
        labour_by_joint_type([a_clocking(40), a_clocking(minutes)])
    assert caught.value.field == "clockings/1/taken_min"


@pytest.mark.parametrize(("clockings", "weight"), [(0, 0), (1, 0.58), (5, 0.87), (20, 0.96)])
def test_how_far_clockings_move_a_standard(clockings, weight):
    """Own arithmetic: k/0.30^2 over k/0.30^2 + 1/0.35^2."""
    assert weight_of(clockings) == pytest.approx(weight, abs=0.005)
    moved = shrunk_standard(10, [math.log(2)] * clockings)
    assert moved == pytest.approx(10 * 2 ** weight_of(clockings))


TAKEN = st.lists(st.floats(1, 1000), min_size=2, max_size=20)


@given(TAKEN, st.integers(0, 99))
def test_the_order_of_clockings_and_the_names_of_hands_change_nothing(taken, seed):
    records = [a_clocking(minutes, hand=f"hand {place}") for place, minutes in enumerate(taken)]
    other = [replace(record, hand="somebody") for record in records]
    random.Random(seed).shuffle(other)
    (line,), (again,) = labour_by_joint_type(records), labour_by_joint_type(other)
    assert line.ratio == pytest.approx(again.ratio)
    assert line.low == pytest.approx(again.low)


@given(TAKEN)
def test_halving_all_minutes_halves_the_ratio_and_the_interval(taken):
    (line,) = labour_by_joint_type([a_clocking(minutes) for minutes in taken])
    (half,) = labour_by_joint_type([a_clocking(minutes / 2) for minutes in taken])
    assert half.ratio == pytest.approx(line.ratio / 2)
    assert half.high == pytest.approx(line.high / 2)


@given(TAKEN)
def test_a_proposal_lies_between_the_standard_and_what_was_taken(taken):
    (line,) = labour_by_joint_type([a_clocking(minutes) for minutes in taken])
    low, high = sorted((1.0, line.ratio))
    assert low - 1e-9 <= line.proposed_ratio <= high + 1e-9


def test_the_interval_holds_the_truth_as_often_as_it_says():
    """400 cells of six clockings, true ratio 1.2, spread 0.3: 80 % within three standard errors."""
    source = random.Random(11)
    held = 0
    for _ in range(400):
        taken = [48 * math.exp(source.gauss(0, 0.3)) for _ in range(6)]
        (line,) = labour_by_joint_type([a_clocking(minutes) for minutes in taken])
        held += line.low <= 1.2 <= line.high
    assert 0.74 <= held / 400 <= 0.86
