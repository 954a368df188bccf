"""How the offered price is set, and what one costs when several are made."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.core.estimate import PriceBasis, Pricing, estimate
from costing.core.quantity import multiplied, quantity_breaks
from orders.core.errors import RulesBroken
from tests.costing.core.test_estimate import RACK, SHOP_RATES, a_whole_commission

P80 = Pricing(basis=PriceBasis.P80)


def by_hand(amount):
    return Pricing(basis=PriceBasis.HAND, net=Decimal(amount))


def sums_up(priced):
    return priced.net == sum(line.amount for line in priced.lines)


def test_a_price_from_p80_puts_by_what_p80_asks_for():
    usual = estimate(a_whole_commission(), SHOP_RATES, RACK)
    careful = estimate(a_whole_commission(), SHOP_RATES, RACK, P80)

    assert careful.cost == usual.cost
    assert float(careful.cost + careful.contingency) == pytest.approx(
        usual.expected_cost.p80, abs=0.01
    )
    assert careful.chance_of_loss < usual.chance_of_loss
    assert sums_up(careful)


def test_a_price_from_p80_without_profit_loses_one_time_in_five():
    rates = replace(SHOP_RATES, profit=replace(SHOP_RATES.profit, share=Decimal(0)))

    careful = estimate(a_whole_commission(), rates, RACK, P80)

    assert careful.chance_of_loss == pytest.approx(0.2, abs=0.001)


def test_a_price_set_by_hand_is_the_price_and_the_rest_is_profit():
    priced = estimate(a_whole_commission(), SHOP_RATES, RACK, by_hand("999.99"))

    assert priced.net == Decimal("999.99")
    assert priced.profit == priced.net - priced.cost - priced.contingency
    assert sums_up(priced)


def test_a_price_set_too_low_shows_its_loss():
    priced = estimate(a_whole_commission(), SHOP_RATES, RACK, by_hand(1))

    assert priced.profit < 0
    assert priced.chance_of_loss == pytest.approx(1)
    assert sums_up(priced)


@given(st.decimals(0, 100_000, places=2))
def test_the_lines_add_up_to_any_price(net):
    assert sums_up(estimate(a_whole_commission(), SHOP_RATES, RACK, by_hand(net)))


@pytest.mark.parametrize(
    "pricing",
    [
        Pricing(basis=PriceBasis.HAND),
        by_hand(-1),
        by_hand("NaN"),
        Pricing(basis=PriceBasis.P80, net=Decimal(3)),
    ],
)
def test_a_price_that_cannot_be_is_named(pricing):
    with pytest.raises(RulesBroken) as caught:
        estimate(a_whole_commission(), SHOP_RATES, RACK, pricing)
    assert caught.value.errors[0].field == "pricing/net"


def test_one_of_many_is_cheaper_and_takes_less_time():
    one, five, twenty = quantity_breaks(a_whole_commission(), SHOP_RATES, RACK)

    assert one.net_each > five.net_each > twenty.net_each
    assert one.hours_each > five.hours_each > twenty.hours_each
    assert one.estimate.net == estimate(a_whole_commission(), SHOP_RATES, RACK).net


def test_without_learning_only_set_ups_are_shared():
    (five,) = quantity_breaks(a_whole_commission(), SHOP_RATES, RACK, [5], learning_slope=1.0)
    commission = a_whole_commission()
    quantities = {assembly.key: assembly.quantity for assembly in commission.assemblies}
    each = sum(
        line.each_min * line.count * quantities[line.assembly] for line in commission.operations
    )
    setups = sum(line.setup_min for line in commission.operations)

    assert five.hours_each == pytest.approx((each + setups / 5) / 60)


def test_once_over_is_what_it_was():
    assert multiplied(a_whole_commission(), 1) == a_whole_commission()


@pytest.mark.parametrize("quantity", [0, -3, 10_001])
def test_a_number_that_makes_no_sense_is_named(quantity):
    with pytest.raises(RulesBroken) as caught:
        quantity_breaks(a_whole_commission(), SHOP_RATES, RACK, [1, quantity])
    assert caught.value.errors[0].field == "quantities/1"
