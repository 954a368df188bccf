"""Rounding, allocation and tax, against EN 16931 and by laws."""

from decimal import ROUND_HALF_EVEN, Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from costing.core.money import (
    TaxedAmount,
    allocate,
    currencies,
    document_totals,
    rounded,
    rounded_to,
    shares_of,
    tax_per_rate,
)
from orders.core.errors import RuleBroken

CURRENCIES = st.sampled_from(["EUR", "JPY", "KWD", "GBP"])
EXACT = st.decimals(min_value=-100_000, max_value=100_000, places=6)
RATES = st.sampled_from([Decimal(rate) for rate in ("0", "5", "7", "12", "19", "21", "25", "5.5")])


def line(amount, rate, category="S"):
    return TaxedAmount(amount=Decimal(amount), rate=Decimal(rate), category=category)


@pytest.mark.parametrize(
    ("code", "units"),
    [("EUR", 2), ("GBP", 2), ("USD", 2), ("JPY", 0), ("KRW", 0), ("ISK", 0)]
    + [(code, 3) for code in ("BHD", "KWD", "TND", "JOD", "OMR")]
    + [("CLF", 4)],
)
def test_minor_units_of_iso_4217(code, units):
    assert currencies()[code].minor_units == units


def test_an_unknown_currency_is_named():
    with pytest.raises(RuleBroken, match="three ISO 4217 letters"):
        rounded(Decimal(1), "EURO")


@pytest.mark.parametrize(
    ("amount", "printed"),
    [
        ("2.345", "2.35"),
        ("-2.345", "-2.35"),
        ("2.3449", "2.34"),
        ("-0.004", "0.00"),
        ("0.005", "0.01"),
    ],
)
def test_a_half_goes_away_from_zero(amount, printed):
    assert str(rounded(Decimal(amount), "EUR")) == printed


def test_half_even_would_be_wrong_here():
    """1,460.50 at 25 % is 365.125."""
    exact = Decimal("1460.50") * Decimal("0.25")
    assert rounded(exact, "EUR") == Decimal("365.13")
    assert exact.quantize(Decimal("0.01"), rounding=ROUND_HALF_EVEN) == Decimal("365.12")


@pytest.mark.parametrize("amount", ["NaN", "Infinity", "1E+40"])
def test_what_is_no_amount_is_refused(amount):
    with pytest.raises(RuleBroken):
        rounded(Decimal(amount), "EUR")


def test_a_price_may_be_rounded_to_a_step():
    assert rounded_to(Decimal("1872.50"), Decimal(5), "EUR") == Decimal("1875.00")
    assert rounded_to(Decimal("-1872.50"), Decimal(5), "EUR") == Decimal("-1875.00")
    assert rounded_to(Decimal("1872.506"), Decimal(0), "EUR") == Decimal("1872.51")


@pytest.mark.parametrize(
    ("total", "weights", "parts"),
    [
        ("100.00", [1, 1, 1], ["33.34", "33.33", "33.33"]),
        ("1875.13", [40, 40, 20], ["750.05", "750.05", "375.03"]),
        ("0.05", [1, 1, 1], ["0.02", "0.02", "0.01"]),
        ("-100.00", [1, 1, 1], ["-33.34", "-33.33", "-33.33"]),
        ("0.00", [1, 2], ["0.00", "0.00"]),
    ],
)
def test_allocation_by_largest_remainder(total, weights, parts):
    assert allocate(Decimal(total), weights, "EUR") == tuple(map(Decimal, parts))


@given(EXACT, st.lists(st.integers(0, 1000), min_size=1, max_size=30), CURRENCIES)
def test_an_allocation_loses_nothing_and_is_fair_to_one_unit(amount, weights, currency):
    assume(any(weights))
    total = rounded(amount, currency)
    parts = allocate(total, weights, currency)
    unit = Decimal(1).scaleb(-currencies()[currency].minor_units)
    assert sum(parts) == total
    for part, weight in zip(parts, weights, strict=True):
        assert abs(part - total * weight / sum(weights)) < unit


def test_a_negative_share_and_no_share_at_all_are_refused():
    with pytest.raises(RuleBroken, match="cannot be negative"):
        allocate(Decimal(1), [2, -1], "EUR")
    with pytest.raises(RuleBroken, match="At least one share"):
        allocate(Decimal(1), [0, 0], "EUR")
    with pytest.raises(RuleBroken, match="fraction of the smallest amount"):
        allocate(Decimal("0.005"), [1], "EUR")


@given(st.lists(EXACT, min_size=1, max_size=30), CURRENCIES)
def test_printed_shares_add_up_and_each_is_its_own_exact_amount_rounded(exact, currency):
    total = rounded(sum(exact), currency)
    printed = shares_of(total, exact, currency)
    unit = Decimal(1).scaleb(-currencies()[currency].minor_units)
    assert sum(printed) == total
    assert all(abs(a - b) < unit for a, b in zip(printed, exact, strict=True))


def test_tax_is_charged_once_per_rate_and_not_per_line():
    """Ten lines of 1.03 at 20 %: 2.06, where tax per line would give 2.10."""
    assert [group.tax for group in tax_per_rate([line("1.03", 20)] * 10, "EUR")] == [
        Decimal("2.06")
    ]


def test_the_published_invoice_with_two_reduced_rates():
    """EN 16931 validation artefacts (CEN/TC 434), ubl/examples, guide-example1: totals."""
    totals = document_totals([line("183.23", 6), line("46.37", 21)], "EUR")
    assert [group.tax for group in totals.taxes] == [Decimal("10.99"), Decimal("9.74")]
    assert (totals.lines, totals.tax, totals.gross) == (
        Decimal("229.60"),
        Decimal("20.73"),
        Decimal("250.33"),
    )


def test_the_published_invoice_with_allowance_charge_and_prepayment():
    """EN 16931 validation artefacts (CEN/TC 434), ubl/examples, tc434-example5."""
    totals = document_totals(
        [line("1000", 25), line("500", 25), line("2500", 12)],
        "DKK",
        allowances=[line("150", 25)],
        charges=[line("150", 25)],
        prepaid=Decimal("2337.50"),
    )
    assert [(group.taxable, group.tax) for group in totals.taxes] == [
        (Decimal(1500), Decimal(375)),
        (Decimal(2500), Decimal(300)),
    ]
    assert (totals.tax, totals.gross, totals.due) == (
        Decimal("675.00"),
        Decimal("4675.00"),
        Decimal("2337.50"),
    )


def test_a_negative_tax_rate_is_refused():
    with pytest.raises(RuleBroken, match="20 for 20 %"):
        tax_per_rate([line(1, -5)], "EUR")


@given(
    st.lists(st.tuples(EXACT, RATES), min_size=1, max_size=30),
    st.lists(st.integers(1, 100), min_size=1, max_size=5),
    CURRENCIES,
    st.randoms(use_true_random=False),
)
def test_nothing_drifts_from_quotation_to_final_invoice(lines, stages, currency, order):
    """The invoice is made from what the quotation printed, in any order, less the stages paid."""
    quoted = document_totals([line(*each) for each in lines], currency)
    printed = [line(str(rounded(amount, currency)), rate) for amount, rate in lines]
    order.shuffle(printed)
    paid = allocate(quoted.gross, stages, currency)
    invoiced = document_totals(printed, currency, prepaid=sum(paid[:-1], Decimal(0)))
    assert invoiced.gross == quoted.gross
    assert {g.rate: (g.taxable, g.tax) for g in invoiced.taxes} == {
        g.rate: (g.taxable, g.tax) for g in quoted.taxes
    }
    assert invoiced.due == paid[-1]
    assert quoted.net + quoted.tax == quoted.gross
    assert quoted.net == sum(group.taxable for group in quoted.taxes)
