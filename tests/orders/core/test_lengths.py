"""Lengths are read as people write them and given back unchanged."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.errors import RuleBroken
from orders.core.lengths import LengthUnit, format_length, parse_length


@pytest.mark.parametrize(
    ("text", "unit", "millimetres"),
    [
        ('1 3/16"', "mm", "30.1625"),
        ("30.5", "mm", "30.5"),
        ("30,5", "mm", "30.5"),
        ("2' 6\"", "mm", "762"),
        ("2′ 6 1/2″", "mm", "774.7"),
        ("3/4", "in", "19.05"),
        ("1-1/2 in", "mm", "38.1"),
        ("1½", "in", "38.1"),
        ("2 ft", "mm", "609.6"),
        ("90 cm", "in", "900"),
        ("900\u00a0mm", "in", "900"),
        ("1200", "mm", "1200"),
        ("1.2 m", "mm", "1200"),
        ("12", "in", "304.8"),
    ],
)
def test_a_length_is_read_exactly(text, unit, millimetres):
    assert parse_length(text, unit) == Decimal(millimetres)


@pytest.mark.parametrize(
    "text", ["", "-5", "nan", "inf", "=1+2", "abc", '1/3"', '3/0"', "1 2", "1e3", "12'' 3'", "0x1F"]
)
def test_what_is_no_length_is_refused_beside_its_field(text):
    with pytest.raises(RuleBroken) as caught:
        parse_length(text, "mm", field="rows/3/length")
    assert caught.value.field == "rows/3/length"


def test_a_fraction_without_inches_is_not_guessed_in_a_metric_shop():
    with pytest.raises(RuleBroken, match="read in inches"):
        parse_length("3/4", LengthUnit.MM)


def test_thousands_and_thousandths_are_not_guessed():
    with pytest.raises(RuleBroken, match=r"write 1200 or 1\.200"):
        parse_length("1,200")


@given(st.integers(1, 64 * 400))
def test_every_sixty_fourth_of_an_inch_survives_the_round_trip_through_storage(pieces):
    millimetres = Decimal("25.4") * pieces / 64
    stored = millimetres.quantize(Decimal("0.001"))
    written = format_length(stored, "in")
    assert "." not in written
    assert parse_length(written, "in") == millimetres


@given(
    st.decimals(min_value=Decimal("0.001"), max_value=9999, places=3),
    st.sampled_from(LengthUnit),
)
def test_every_stored_length_survives_the_round_trip(millimetres, unit):
    again = parse_length(format_length(millimetres, unit), unit)
    assert abs(again - millimetres) <= Decimal("0.0005")
    if unit is LengthUnit.MM:
        assert again == millimetres


def test_whole_inches_and_nothing_are_written_plainly():
    assert format_length(50.8, "in") == '2"'
    assert format_length(0, "in") == '0"'
    assert format_length(900.0) == "900"
    assert format_length(30.5) == "30.5"
