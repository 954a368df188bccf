"""What an offer comes to, and that its invoices come to the same."""

from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.core.money import TaxedAmount, currency_of, smallest_amount
from costing.core.offer import (
    Adjustment,
    StageShare,
    payment_plan,
    stage_invoices,
    totals_of,
)
from orders.core.errors import RuleBroken, RulesBroken

D = Decimal


TWENTY = D(20)


def items(*amounts, rate=TWENTY):
    return [TaxedAmount(amount=D(amount), rate=rate) for amount in amounts]


def test_stages_share_the_total_by_largest_remainder():
    """Own arithmetic: 1,875.13 at 40/40/20."""
    shares = [StageShare(label="x", percent=D(p)) for p in (40, 40, 20)]

    plan = payment_plan(D("1875.13"), shares, "EUR")

    assert [stage.amount for stage in plan] == [D("750.05"), D("750.05"), D("375.03")]


def test_a_discount_is_taken_off_before_tax():
    """Totals of tc434-example5 of the EN 16931 validation artefacts: 675.00, 4,675.00, 2,337.50."""
    lines = items(1000, 500, rate=D(25)) + items(2500, rate=D(12))
    adjustments = [
        Adjustment(label="discount", amount=D(-150), tax_rate=D(25)),
        Adjustment(label="freight", amount=D(150), tax_rate=D(25)),
    ]
    shares = [StageShare(label="half", percent=D(50))] * 2

    totals = totals_of(lines, adjustments, "EUR")
    plan = payment_plan(totals.gross, shares, "EUR")
    last = stage_invoices(lines, adjustments, plan, "EUR")[-1]

    assert (totals.tax, totals.gross) == (D(675), D(4675))
    assert (last.totals.prepaid, last.totals.due) == (D("2337.50"), D("2337.50"))


def test_a_discount_above_the_total_is_refused():
    with pytest.raises(RuleBroken) as caught:
        totals_of(items(100), [Adjustment(label="all", amount=D(-101), tax_rate=D(20))], "EUR")
    assert caught.value.field == "adjustments"
    assert caught.value.nearest == 100


@pytest.mark.parametrize(
    ("percents", "field"),
    [
        (("50", "40"), "stages"),
        (("150", "-50"), "stages/1/percent"),
        (("NaN", "50"), "stages/0/percent"),
        (("1",) * 100, "stages"),
    ],
)
def test_stages_that_cannot_be_are_named(percents, field):
    with pytest.raises(RulesBroken) as caught:
        payment_plan(D(100), [StageShare(label="x", percent=D(p)) for p in percents], "EUR")
    assert caught.value.errors[0].field == field


def test_a_credit_is_not_paid_in_stages():
    halves = [StageShare(label="half", percent=D(50))] * 2
    with pytest.raises(RulesBroken, match="credit"):
        payment_plan(D(-10), halves, "EUR")


def test_no_stages_are_no_plan():
    assert payment_plan(D(100), [], "EUR") == ()


AMOUNTS = st.decimals(-5000, 50_000, places=2)
RATES = st.sampled_from([D(0), D("5.5"), D(12), D(20), D(25)])


@st.composite
def offers(draw):
    """Items with a few below zero, several rates, a discount, stages, any kind of currency."""
    currency = draw(st.sampled_from(["EUR", "JPY", "KWD"]))
    step = smallest_amount(currency)
    lines = draw(
        st.lists(st.builds(TaxedAmount, amount=AMOUNTS, rate=RATES), min_size=1, max_size=6)
    )
    lines = [TaxedAmount(amount=line.amount.quantize(step), rate=line.rate) for line in lines]
    rate = lines[0].rate
    most = max(D(0), min(sum(line.amount for line in lines if line.rate == rate), D(10_000)))
    off = draw(st.decimals(0, 1, places=2)) * most
    discount = [Adjustment(label="discount", amount=-off.quantize(step), tax_rate=rate)]
    cuts = sorted(draw(st.lists(st.integers(1, 99), max_size=4, unique=True)))
    bounds = [0, *cuts, 100]
    shares = [
        StageShare(label="stage", percent=D(after - before)) for before, after in pairwise(bounds)
    ]
    return lines, discount, shares, currency


@given(offer=offers())
@settings(max_examples=300)
def test_what_falls_due_in_all_invoices_is_what_was_offered(offer):
    lines, adjustments, shares, currency = offer
    try:
        totals = totals_of(lines, adjustments, currency)
        plan = payment_plan(totals.gross, shares, currency)
    except (RuleBroken, RulesBroken):
        return

    invoices = stage_invoices(lines, adjustments, plan, currency)

    assert sum(invoice.totals.due for invoice in invoices) == totals.gross
    assert invoices[-1].totals.net == totals.net
    assert invoices[-1].totals.taxes == totals.taxes
    step = D(1).scaleb(-currency_of(currency).minor_units)
    for invoice, stage in zip(invoices, plan, strict=True):
        assert invoice.totals.due == stage.amount
        assert abs(invoice.totals.rounding) <= 3 * step * len(totals.taxes)
