"""Rates, margins and break-even."""

from decimal import Decimal

import pytest

from costing.core.rates import (
    break_even_units,
    margin_of,
    markup_of,
    overhead_rate,
)
from orders.core.errors import RuleBroken


def test_the_published_overhead_rate():
    """Heisinger & Hoyle, Accounting for Managers, section 2.3: 1,140,000 over 38,000 hours."""
    assert overhead_rate(Decimal(1_140_000), Decimal(38_000)) == 30


@pytest.mark.parametrize(
    ("markup", "margin"),
    [
        (10, "9.09"),
        (20, "16.67"),
        (25, "20"),
        (30, "23.08"),
        (40, "28.57"),
        (50, "33.33"),
        (70, "41.18"),
        (100, "50"),
    ],
)
def test_markup_on_cost_as_margin_on_price(markup, margin):
    """margin = markup / (1 + markup), own arithmetic."""
    share = margin_of(Decimal(markup) / 100)
    assert round(share * 100, 2) == Decimal(margin)
    assert markup_of(share) == pytest.approx(Decimal(markup) / 100)


def test_no_markup_gives_a_margin_of_100_per_cent():
    with pytest.raises(RuleBroken, match="under 100 %"):
        markup_of(Decimal(1))


def test_the_published_break_even():
    """Heisinger & Hoyle, Accounting for Managers, section 6.1: 500 units; 800 for 30,000."""
    fixed, price, variable = Decimal(50_000), Decimal(250), Decimal(150)
    assert break_even_units(fixed, price, variable) == 500
    assert break_even_units(fixed, price, variable, Decimal(30_000)) == 800
    with pytest.raises(RuleBroken):
        break_even_units(fixed, variable, price)
