"""Variances of the published example, and the identities behind them.

Source: Heisinger & Hoyle, Accounting for Managers, sections 10.2 to 10.8.
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.core.variance import (
    fixed_overhead_variance,
    is_worth_a_look,
    labour_variance,
    material_variance,
    variable_overhead_variance,
)

AMOUNTS = st.decimals(min_value=0, max_value=100_000, places=3)


def test_published_material_price_and_quantity():
    variance = material_variance(
        bought=Decimal(440_000),
        actual_price=Decimal("1.20"),
        used=Decimal(399_000),
        standard_quantity=Decimal(420_000),
        standard_price=Decimal("1.00"),
    )
    assert (variance.price, variance.usage) == (88_000, -21_000)


def test_published_labour_rate_and_efficiency():
    variance = labour_variance(
        actual_hours=Decimal(18_900),
        actual_rate=Decimal(15),
        standard_hours=Decimal(21_000),
        standard_rate=Decimal(13),
    )
    assert (variance.rate, variance.efficiency) == (37_800, -27_300)


def test_published_overhead():
    variable = variable_overhead_variance(
        actual=Decimal(100_000),
        actual_hours=Decimal(18_900),
        standard_hours=Decimal(21_000),
        standard_rate=Decimal(5),
    )
    fixed = fixed_overhead_variance(
        actual=Decimal(136_000), budget=Decimal(140_280), applied=Decimal(147_000)
    )
    assert (variable.spending, variable.efficiency) == (5_500, -10_500)
    assert (fixed.spending, fixed.volume) == (-4_280, -6_720)


@pytest.mark.parametrize(
    ("variance", "budget", "is_flagged"),
    [
        (88_000, 420_000, True),
        (37_800, 273_000, True),
        (-27_300, 273_000, True),
        (-10_500, 105_000, True),
        (5_500, 105_000, False),
        (-21_000, 420_000, False),
    ],
)
def test_the_limit_for_a_closer_look_is_inclusive(variance, budget, is_flagged):
    """Section 10.6: 10 % of the flexible budget."""
    assert is_worth_a_look(Decimal(variance), Decimal(budget)) is is_flagged


@given(AMOUNTS, AMOUNTS, AMOUNTS, AMOUNTS)
def test_rate_and_efficiency_are_the_whole_difference(hours, rate, standard_hours, standard_rate):
    variance = labour_variance(
        actual_hours=hours,
        actual_rate=rate,
        standard_hours=standard_hours,
        standard_rate=standard_rate,
    )
    assert variance.total == hours * rate - standard_hours * standard_rate


@given(AMOUNTS, AMOUNTS, AMOUNTS, AMOUNTS)
def test_price_and_usage_are_the_whole_difference_when_all_is_used(used, price, quantity, standard):
    variance = material_variance(
        bought=used,
        actual_price=price,
        used=used,
        standard_quantity=quantity,
        standard_price=standard,
    )
    assert variance.total == used * price - quantity * standard
