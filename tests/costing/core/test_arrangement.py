"""What is arranged beside an estimate, and that it adds up."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.core.arrangement import (
    AdjustmentUnit,
    Arrangement,
    AskedAdjustment,
    AskedOption,
    ItemWords,
    arranged,
)
from costing.core.money import TaxGroup
from costing.core.offer import StageShare
from costing.core.quotation import OptionKind, QuotedItem
from orders.core.errors import RuleBroken, RulesBroken
from tests.costing.documents.samples import a_quotation

D = Decimal
SHARE = AdjustmentUnit.PERCENT


def test_nothing_arranged_changes_nothing():
    plain = a_quotation(5)

    assert arranged(plain, Arrangement()) == plain


def test_discount_charge_and_payments_come_to_the_cent():
    """Own arithmetic: 1,000.00 less 3 % is 970.00, and 85.00 make 1,055.00; 23 % is 242.65."""
    plain = a_quotation(items=(QuotedItem(label="Table", quantity=1, net=D(1000), key="7"),))
    plain = replace(plain, taxes=(TaxGroup(category="S", rate=D(23), taxable=D(1000), tax=D(230)),))
    said = arranged(
        plain,
        Arrangement(
            items=(ItemWords(key="7", label="Kitchen table", note="Oak"),),
            adjustments=(
                AskedAdjustment(label="Second order", figure=D(-3), unit=SHARE),
                AskedAdjustment(label="Delivery", figure=D(85)),
            ),
            stages=tuple(StageShare(label="x", percent=D(p)) for p in (33, 33, 34)),
            lead_days=20,
            lead_trigger="the first payment",
        ),
    )

    assert (said.net, said.tax, said.gross) == (D(1055), D("242.65"), D("1297.65"))
    assert [stage.amount for stage in said.stages] == [D("428.23"), D("428.22"), D("441.20")]
    assert (said.items[0].label, said.items[0].note) == ("Kitchen table", "Oak")
    assert said.adjustments[0].label == "Second order, 3 %"


def test_a_share_is_taken_of_each_rate_of_tax():
    items = (
        QuotedItem(label="a", quantity=1, net=D(100), tax_rate=D(23)),
        QuotedItem(label="b", quantity=1, net=D(50), tax_rate=D("13.5")),
    )
    plain = a_quotation(items=items, taxes=()).added_up()

    said = arranged(
        plain,
        Arrangement(adjustments=(AskedAdjustment(label="off", figure=D(-10), unit=SHARE),)),
    )

    assert [(one.tax_rate, one.amount) for one in said.adjustments] == [
        (D(23), D(-10)),
        (D("13.5"), D(-5)),
    ]
    assert said.net == D(135)


@given(
    nets=st.lists(st.integers(-5_000, 90_000), min_size=1, max_size=5),
    charge=st.integers(1, 90_000),
    options=st.lists(st.integers(0, 50_000), max_size=4),
    weights=st.lists(st.integers(1, 40), min_size=1, max_size=6),
    data=st.data(),
)
def test_whatever_is_taken_its_sums_are_exact(nets, charge, options, weights, data):
    items = tuple(QuotedItem(label="x", quantity=1, net=D(n).scaleb(-2)) for n in nets)
    percents = [round(D(w * 100) / sum(weights), 4) for w in weights]
    percents[-1] = 100 - sum(percents[:-1], D(0))
    said = arranged(
        a_quotation(items=items),
        Arrangement(
            adjustments=(AskedAdjustment(label="c", figure=D(charge) + 300),),
            options=tuple(AskedOption(label="o", net=D(n).scaleb(-2)) for n in options),
            stages=tuple(StageShare(label="s", percent=p) for p in percents),
        ),
    )
    taken = data.draw(st.sets(st.sampled_from([o.key for o in said.options]))) if options else set()

    agreed = said.taking(taken)

    rows = [item.net for item in agreed.charged] + [one.amount for one in agreed.adjustments]
    assert sum(rows, D(0)) == agreed.net
    assert agreed.net + agreed.tax == agreed.gross
    assert sum((stage.amount for stage in agreed.stages), D(0)) == agreed.gross
    assert agreed.taking(()) == said


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        (Arrangement(stages=(StageShare(label="half", percent=D(50)),)), "stages"),
        (Arrangement(stages=(StageShare(label="", percent=D(100)),)), "stages/0/label"),
        (
            Arrangement(adjustments=(AskedAdjustment(label="all", figure=D(-99_999)),)),
            "adjustments",
        ),
        (
            Arrangement(adjustments=(AskedAdjustment(label="x", figure=D(-101), unit=SHARE),)),
            "adjustments/0/figure",
        ),
        (
            Arrangement(adjustments=(AskedAdjustment(label="x", figure=D(0)),)),
            "adjustments/0/figure",
        ),
        (Arrangement(options=(AskedOption(label="x", net=D(-1)),)), "options/0/net"),
        (
            Arrangement(
                options=(
                    AskedOption(label="x", net=D(-1), kind=OptionKind.ALTERNATIVE, tax_rate=D(101)),
                )
            ),
            "options/0/tax_rate",
        ),
        (Arrangement(lead_days=5), "lead_trigger"),
        (Arrangement(lead_days=-1), "lead_days"),
        (Arrangement(finish="wax\x00"), "finish"),
        (Arrangement(exclusions="x" * 6001), "exclusions"),
    ],
)
def test_what_does_not_fit_is_refused_in_its_place(wrong, field):
    with pytest.raises((RuleBroken, RulesBroken)) as caught:
        arranged(a_quotation(), wrong)
    errors = getattr(caught.value, "errors", (caught.value,))
    assert [error.field for error in errors] == [field]
