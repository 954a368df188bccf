"""Rough sizes, stock thickness and volumes."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.core.stock import (
    BOARD_FOOT_M3,
    Allowance,
    PartSize,
    addition_to_net,
    board_feet,
    cubic_metres,
    rough_size,
    share_of_gross,
    starting_allowances,
    stock_thickness,
)
from orders.core.errors import NotReady, RuleBroken


def a_part(**changes):
    plain = {
        "key": "rail",
        "label": "top rail",
        "species": "oak",
        "length_mm": 600.0,
        "width_mm": 70.0,
        "thickness_mm": 27.0,
        "quantity": 4,
    }
    return PartSize(**(plain | changes))


def test_a_board_foot_is_144_cubic_inches():
    assert pytest.approx(0.002359737216, rel=1e-12) == BOARD_FOOT_M3
    assert board_feet(1) == pytest.approx(423.776, abs=5e-4)


def test_a_board_in_metres_and_board_feet():
    """27 x 180 x 2400 mm, own arithmetic."""
    volume = 0.027 * 0.180 * 2.4
    assert volume == pytest.approx(0.011664)
    assert board_feet(volume) == pytest.approx(4.943, abs=5e-4)


@given(st.floats(0.0001, 1000))
def test_cubic_metres_and_board_feet_are_inverse(volume_m3):
    assert cubic_metres(board_feet(volume_m3)) == pytest.approx(volume_m3)


def test_the_rough_size_adds_the_allowances_and_takes_the_next_thicker_board():
    rough = rough_size(
        a_part(),
        Allowance(length_mm=25, width_mm=6, thickness_mm=5, waste_share_of_gross=0.2),
        [50, 27, 32, 40],
    )
    assert (rough.length_mm, rough.width_mm, rough.thickness_mm) == (625, 76, 32)
    assert rough.stock_thickness_mm == 32
    assert rough.net_m3 == pytest.approx(600 * 70 * 27 * 4 / 1e9)
    assert rough.rough_m3 == pytest.approx(625 * 76 * 32 * 4 / 1e9)
    assert rough.gross_m3 == pytest.approx(rough.rough_m3 * 1.25)
    assert rough.waste_m3 / rough.gross_m3 == pytest.approx(0.2)


def test_a_board_that_just_fits_is_taken_and_a_tenth_too_thin_is_not():
    assert stock_thickness(32.0, [27, 32, 40]) == 32
    assert stock_thickness(32.1, [27, 32, 40]) == 40


def test_a_part_thicker_than_every_board_is_answered_with_a_way_out():
    with pytest.raises(NotReady, match=r"the thickest is 40 mm\. Add a thicker board, or glue"):
        stock_thickness(60, [27, 40], what="the leg")


def test_twenty_per_cent_waste_is_not_twenty_per_cent_on_top():
    assert 1 + addition_to_net(0.2) == pytest.approx(1.25)
    assert share_of_gross(0.2) == pytest.approx(1 / 6)
    assert 1 + addition_to_net(0.3) == pytest.approx(1.42857, abs=1e-5)


@given(st.floats(0, 0.99))
def test_waste_as_share_and_as_addition_are_inverse(share):
    assert share_of_gross(addition_to_net(share)) == pytest.approx(share, abs=1e-9)


def test_grade_yields_become_additions():
    """Clear-face yields of FAS, No. 1 Common and No. 2A: NHLA rules, export guide, SM x 10/8/6."""
    additions = [addition_to_net(1 - yield_) for yield_ in (10 / 12, 8 / 12, 6 / 12)]
    assert additions == pytest.approx([0.20, 0.50, 1.00])


@pytest.mark.parametrize("size", [0, -1, math.nan, math.inf, 1e9])
@pytest.mark.parametrize("field", ["length_mm", "width_mm", "thickness_mm"])
def test_an_absurd_size_is_named(field, size):
    with pytest.raises(RuleBroken) as caught:
        rough_size(a_part(**{field: size}), Allowance(), [1e6])
    assert caught.value.field == field


def test_a_negative_quantity_is_named():
    with pytest.raises(RuleBroken) as caught:
        rough_size(a_part(quantity=-1), Allowance(), [32])
    assert caught.value.field == "quantity"


@pytest.mark.parametrize("share", [-0.1, 1, 1.5, math.nan])
def test_waste_leaves_something(share):
    with pytest.raises(RuleBroken, match="share of what is bought"):
        Allowance(waste_share_of_gross=share)


def test_starting_allowances_are_read_as_shares_of_gross():
    waney = starting_allowances()["hardwood-waney-edged"]
    assert waney.waste_share_of_gross == pytest.approx(0.375)
