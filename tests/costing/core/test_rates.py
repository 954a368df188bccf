"""Rates, margins and break-even."""

from decimal import Decimal

import pytest

from costing.core.rates import (
    MachineCost,
    break_even_units,
    machine_hour_rate,
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


def test_a_machine_hour_is_built_up_from_its_parts():
    """Own arithmetic: wear 1.20, current 0.45, and 1,350 a year over 900 hours."""
    machine = MachineCost(
        purchase=Decimal(14_000),
        residual=Decimal(2_000),
        life_h=Decimal(10_000),
        hours_run=Decimal(900),
        interest=Decimal(400),
        upkeep=Decimal(250),
        insurance=Decimal(100),
        floor_m2=Decimal(10),
        rent_per_m2=Decimal(60),
        power_kw=Decimal(3),
        load=Decimal("0.5"),
        tariff_per_kwh=Decimal("0.30"),
    )
    assert machine_hour_rate(machine) == Decimal("3.15")


def test_a_machine_that_never_runs_has_no_rate():
    with pytest.raises(RuleBroken, match="more than 0"):
        machine_hour_rate(
            MachineCost(
                purchase=Decimal(1), residual=Decimal(0), life_h=Decimal(1), hours_run=Decimal(0)
            )
        )


def test_the_published_break_even():
    """Heisinger & Hoyle, Accounting for Managers, section 6.1: 500 units; 800 for 30,000."""
    fixed, price, variable = Decimal(50_000), Decimal(250), Decimal(150)
    assert break_even_units(fixed, price, variable) == 500
    assert break_even_units(fixed, price, variable, Decimal(30_000)) == 800
    with pytest.raises(RuleBroken):
        break_even_units(fixed, variable, price)
