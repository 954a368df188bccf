"""Quoted against actual, kind by kind; the parts add up to the cent."""

from decimal import Decimal as D

from hypothesis import given
from hypothesis import strategies as st

from costing.core.jobcost import Charge, CostKind, Hours, cost_lines, total_of

RATES = st.decimals("0", "90", places=2)
SOME_HOURS = st.builds(
    Hours,
    kind=st.sampled_from([CostKind.LABOUR, CostKind.MACHINE, CostKind.OVERHEAD]),
    seconds=st.integers(0, 10**7),
    quoted_rate=RATES,
    actual_rate=RATES,
)
SOME_CHARGES = st.builds(
    Charge,
    kind=st.sampled_from([CostKind.TIMBER, CostKind.GLUE, CostKind.OUTWORK]),
    quantity=st.decimals("-50", "500", places=4),
    quoted_price=st.decimals("0", "6000", places=4),
    actual_price=st.decimals("0", "6000", places=4),
)
QUOTED = st.dictionaries(st.sampled_from(list(CostKind)), st.decimals("0", "9000", places=2))


@given(QUOTED, st.lists(SOME_HOURS), st.lists(SOME_CHARGES))
def test_what_is_printed_adds_up_exactly(quoted, hours, charges):
    lines = cost_lines(quoted, hours, charges, "EUR")
    for line in lines:
        assert line.price + line.usage == line.actual - line.quoted
        assert line.actual == line.actual.quantize(D("0.01"))
        assert line.price == line.price.quantize(D("0.01"))
    quoted_cost, actual_cost = total_of(lines)
    parts = sum((line.price + line.usage for line in lines), D(0))
    assert parts == actual_cost - quoted_cost


def test_rate_and_efficiency_are_those_of_the_textbook():
    """The variances of Heisinger & Hoyle, section 10.4: 18,900 h at 15 against 21,000 h at 13."""
    hours = Hours(kind=CostKind.LABOUR, seconds=18_900 * 3600, quoted_rate=D(13), actual_rate=D(15))
    (line,) = cost_lines({CostKind.LABOUR: D(21_000 * 13)}, [hours], [], "USD")
    assert (line.price, line.usage) == (D(37_800), D(-27_300))


def test_price_and_usage_of_material_that_is_all_used():
    charges = [
        Charge(kind=CostKind.TIMBER, quantity=D(10), quoted_price=D(100), actual_price=D(110)),
        Charge(kind=CostKind.TIMBER, quantity=D(-2), quoted_price=D(100), actual_price=D(110)),
    ]
    (line,) = cost_lines({CostKind.TIMBER: D(900)}, [], charges, "EUR")
    assert (line.actual, line.price, line.usage) == (D(880), D(80), D(-100))


def test_a_kind_that_was_quoted_and_not_spent_is_told():
    (line,) = cost_lines({CostKind.OUTWORK: D(50)}, [], [], "EUR")
    assert (line.quoted, line.actual, line.usage) == (D(50), D(0), D(-50))
