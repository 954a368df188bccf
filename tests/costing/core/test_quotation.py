"""What a quotation comes to: options outside the total, payments, and old ones read again."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.core.offer import Adjustment, PaymentStage
from costing.core.quotation import OptionKind, QuotedOption
from costing.documents.quotation import QUOTATION
from orders.core.errors import RuleBroken
from tests.costing.documents.samples import a_quotation

D = Decimal
OPTIONS = (
    QuotedOption(key="A", label="Drawer", net=D("120.00")),
    QuotedOption(key="B", label="Ash", net=D("-80.50"), kind=OptionKind.ALTERNATIVE),
    QuotedOption(key="C", label="Fitting", net=D("60.00"), tax_rate=D("13.5")),
)
STAGES = (
    PaymentStage(label="deposit", percent=D(40), amount=D(0)),
    PaymentStage(label="delivery", percent=D(60), amount=D(0)),
)


def offered(**more):
    return a_quotation(options=OPTIONS, stages=STAGES, **more).added_up()


def test_options_stand_outside_the_total_until_they_are_taken():
    plain = offered()
    taken = plain.taking({"A", "C"})

    assert plain.net == D("3751.20")
    assert taken.net == D("3931.20")
    assert [group.rate for group in taken.taxes] == [D(23), D("13.5")]
    assert taken.taking(set()) == plain


def test_an_option_that_is_not_offered_is_refused():
    with pytest.raises(RuleBroken) as caught:
        offered().taking({"Z"})
    assert caught.value.field == "options"


@given(st.sets(st.sampled_from("ABC")), st.decimals("-99.99", "99.99", places=2))
def test_payments_always_come_to_the_whole(keys, amount):
    adjustment = Adjustment(label="x", amount=amount, tax_rate=D(23))
    found = offered(adjustments=(adjustment,)).taking(keys)

    assert sum(stage.amount for stage in found.stages) == found.gross == found.net + found.tax
    assert found.net == sum(item.net for item in found.charged) + amount


def test_a_quotation_of_before_is_read_as_it_was():
    plain = a_quotation()
    old = QUOTATION.dump_python(plain, mode="json")
    for key in ("language", "options", "stages", "adjustments"):
        del old[key]
    for item in old["items"]:
        del item["key"], item["tax_rate"], item["tax_category"]

    assert QUOTATION.validate_python(old) == plain
    assert plain.added_up() == replace(plain)
