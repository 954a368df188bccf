"""The price of a commission is set, kept and quoted."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from costing.core.pricing import EXPECTED, PriceBasis, Pricing
from costing.core.rates import Profit, ProfitBasis
from costing.models import Quote
from costing.services.estimating import basis_for, estimate_for, priced, priced_ways
from costing.services.lead_times import queue_of
from costing.services.price_setting import price_set, set_price
from costing.services.quotations import estimate_of, reckoned_again
from costing.services.quotes import draft_quote
from orders.core.errors import NotNow, RulesBroken
from orders.core.stages import Stage
from tests.builders import a_commission, a_hand, an_operation, an_order
from tests.costing.services.test_estimating import TODAY, commission, workshop  # noqa: F401

pytestmark = pytest.mark.django_db
P80 = Pricing(basis=PriceBasis.P80)
MONDAY = datetime(2026, 3, 2, 6, tzinfo=UTC)


def markup(share):
    return Pricing(profit=Profit(basis=ProfitBasis.MARKUP, share=Decimal(share)))


@pytest.mark.parametrize(
    "pricing", [P80, markup("0.7"), Pricing(basis=PriceBasis.HAND, net=Decimal("999.99"))]
)
def test_what_is_set_is_kept_and_quoted(commission, pricing):  # noqa: F811
    set_price(commission, P80)
    set_price(commission, pricing)

    assert price_set(commission) == pricing
    quote = draft_quote(commission, by=None, on=TODAY)
    assert estimate_of(quote) == priced(basis_for(commission, TODAY), pricing)
    assert estimate_of(quote).pricing == pricing
    assert reckoned_again(quote) == estimate_of(quote)


def test_a_price_that_was_never_set_is_what_is_expected(commission):  # noqa: F811
    assert price_set(commission) == EXPECTED


def test_ways_are_costed_once_and_priced_each(commission):  # noqa: F811
    basis = basis_for(commission, TODAY)

    assert priced_ways(basis, (EXPECTED, P80)) == (priced(basis), priced(basis, P80))


def test_a_markup_of_70_per_cent_is_a_margin_of_41(commission):  # noqa: F811
    """margin = markup / (1 + markup): 0.7 gives 0.4118, own arithmetic."""
    estimate = priced(basis_for(commission, TODAY), markup("0.7"))

    assert (estimate.markup, estimate.margin) == (Decimal("0.7000"), Decimal("0.4118"))


@pytest.mark.parametrize(
    ("pricing", "field"),
    [
        (Pricing(basis=PriceBasis.HAND), "net"),
        (Pricing(basis=PriceBasis.HAND, net=Decimal("0.001")), "net"),
        (Pricing(basis=PriceBasis.HAND, net=Decimal(10) ** 13), "net"),
        (Pricing(profit=Profit(share=Decimal(1))), "profit/share"),
        (markup(11), "profit/share"),
        (markup("NaN"), "profit/share"),
    ],
)
def test_a_price_that_cannot_be_is_named(commission, pricing, field):  # noqa: F811
    with pytest.raises(RulesBroken) as caught:
        set_price(commission, pricing)

    assert [fault.field for fault in caught.value.errors] == [field]
    assert price_set(commission) == EXPECTED


def test_a_price_is_not_set_after_the_answer(commission):  # noqa: F811
    commission.stage = Stage.ACCEPTED
    commission.save()

    with pytest.raises(NotNow, match="Duplicate the commission"):
        set_price(commission, P80)


def test_work_in_hand_is_released_work_and_accepted_quotes(commission, workshop):  # noqa: F811
    a_hand(workshop)
    an_operation(an_order(workshop), setup_min=0, each_min=60, pieces=5)
    quote = draft_quote(commission, by=None, on=TODAY)
    Quote.objects.filter(pk=quote.pk).update(state=Quote.State.ACCEPTED)
    commission.stage = Stage.ACCEPTED
    commission.save()
    hours = estimate_for(commission, TODAY).hours.mean

    queue = queue_of(workshop, MONDAY, but=a_commission(workshop))

    assert queue.before_min == pytest.approx(300 + 60 * hours)
    assert queue_of(workshop, MONDAY, but=commission).before_min == pytest.approx(300)
    assert queue_of(workshop, MONDAY, but=commission).lead_time(3).working_days == 1
    assert queue_of(workshop, MONDAY, but=commission).lead_time(4).working_days == 2
