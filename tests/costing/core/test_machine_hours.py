"""An hour of a machine, from its parts."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.core.machine_hours import MachineCost, machine_hour, machine_hour_rate
from costing.core.money import rounded
from orders.core.errors import RulesBroken

MORTISER = MachineCost(
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


def test_a_machine_hour_is_built_up_from_its_parts():
    """Own arithmetic: wear 1.20, current 0.45, and 1,350 a year over 900 hours."""
    assert machine_hour_rate(MORTISER) == Decimal("3.15")


def test_the_rate_unfolds_to_its_parts():
    """400, 250, 100 and 600 over 900 h: 0.444, 0.278, 0.111 and 0.667; together 1.50."""
    hour = machine_hour(MORTISER, "EUR")

    assert hour.amount == Decimal("3.15")
    assert {part.label: str(part.amount) for part in hour.children} == {
        "Wear": "1.20",
        "Current": "0.45",
        "Interest": "0.44",
        "Upkeep": "0.28",
        "Insurance": "0.11",
        "Floor": "0.67",
    }


@given(
    st.decimals(1, 90_000, places=2), st.integers(1, 4000), st.sampled_from(["EUR", "JPY", "KWD"])
)
def test_the_parts_add_up_to_the_rate(purchase, hours, currency):
    machine = replace(MORTISER, purchase=purchase + 2_000, hours_run=Decimal(hours))
    hour = machine_hour(machine, currency)

    assert sum(part.amount for part in hour.children) == hour.amount
    assert hour.amount == rounded(machine_hour_rate(machine), currency)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"hours_run": 0}, "hours_run"),
        ({"life_h": 0}, "life_h"),
        ({"residual": 15_000}, "residual"),
        ({"load": "1.1"}, "load"),
        ({"upkeep": -1}, "upkeep"),
        ({"purchase": "NaN"}, "purchase"),
    ],
)
def test_figures_that_cannot_be_are_named(change, field):
    machine = replace(MORTISER, **{name: Decimal(value) for name, value in change.items()})

    with pytest.raises(RulesBroken) as caught:
        machine_hour(machine, "EUR")
    assert [fault.field for fault in caught.value.errors] == [field]
