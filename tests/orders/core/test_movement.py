"""Moisture and movement against printed cells of the Wood Handbook."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.errors import RuleBroken
from orders.core.movement import (
    coefficient,
    equilibrium_moisture,
    movement_by_shrinkage_mm,
    movement_mm,
    panel_clearance_mm,
)

TABLE_4_2 = {
    30: (6.3, 6.2, 5.9),
    40: (7.9, 7.7, 7.4),
    50: (9.5, 9.2, 8.9),
    65: (12.3, 12.0, 11.5),
    80: (16.4, 16.0, 15.4),
}
"""Per cent of moisture at 10, 21.1 and 32.2 °C. Source: Wood Handbook, Table 4-2, transcribed."""

TABLE_13_5 = [
    ("alder, red", 4.4, 0.00151),
    ("alder, red", 7.3, 0.00256),
    ("ash, white", 4.9, 0.00169),
    ("ash, white", 7.8, 0.00274),
    ("basswood, American", 6.6, 0.00230),
    ("basswood, American", 9.3, 0.00330),
    ("beech, American", 5.5, 0.00190),
    ("beech, American", 11.9, 0.00431),
    ("birch, yellow", 7.3, 0.00256),
    ("cherry, black", 3.7, 0.00126),
    ("cherry, black", 7.1, 0.00248),
    ("maple, sugar", 4.8, 0.00165),
    ("walnut, black", 5.5, 0.00190),
    ("walnut, black", 7.8, 0.00274),
    ("Douglas-fir, coast", 7.6, 0.00267),
]
"""Shrinkage and coefficient of change. Source: Wood Handbook, FPL-GTR-190, Tables 4-3, 13-5."""


@pytest.mark.parametrize(
    ("humidity", "celsius", "printed"),
    [
        (humidity, celsius, printed)
        for humidity, row in TABLE_4_2.items()
        for celsius, printed in zip((10, 21.111, 32.222), row, strict=True)
    ],
)
def test_equilibrium_moisture_is_the_printed_cell(humidity, celsius, printed):
    assert equilibrium_moisture(celsius, humidity / 100) == pytest.approx(printed, abs=0.1)


def test_equilibrium_moisture_to_three_decimals():
    """Own arithmetic with the constants of FPL-RN-0268."""
    assert equilibrium_moisture(20, 0.50) == pytest.approx(9.271, abs=5e-4)
    assert equilibrium_moisture(20, 0.65) == pytest.approx(11.996, abs=5e-4)
    assert equilibrium_moisture(60, 0.55) == pytest.approx(8.373, abs=5e-4)


@given(st.floats(-10, 60), st.floats(0, 0.98), st.floats(0.001, 0.02))
def test_damper_air_never_dries_timber(celsius, humidity, more):
    assert equilibrium_moisture(celsius, humidity + more) > equilibrium_moisture(celsius, humidity)


@pytest.mark.parametrize(("species", "shrinkage", "printed"), TABLE_13_5)
def test_the_coefficient_follows_from_shrinkage(species, shrinkage, printed):
    assert coefficient(shrinkage) == pytest.approx(printed, abs=0.0000051)


@pytest.mark.parametrize(
    ("change_coefficient", "moved"),
    [
        (0.00369, 5.904),
        (0.00158, 2.528),
        (0.00431, 6.896),
        (0.00190, 3.040),
        (0.00248, 3.968),
        (0.00126, 2.016),
    ],
)
def test_400_mm_from_8_to_12_per_cent(change_coefficient, moved):
    """Coefficients from Wood Handbook Table 13-5, own arithmetic."""
    assert movement_mm(400, change_coefficient, 8, 12) == pytest.approx(moved)


def test_the_handbooks_white_fir_board():
    """Wood Handbook, chapter 13: a flat-sawn board of 232 mm gains about 1.7 mm."""
    assert movement_mm(232, 0.00245, 8, 11) == pytest.approx(1.7052)
    assert movement_by_shrinkage_mm(232, 7.0, 8, 11) == pytest.approx(1.7119, abs=5e-5)
    assert movement_by_shrinkage_mm(400, 8.6, 8, 12) == pytest.approx(4.8954, abs=5e-5)


@given(st.floats(1, 2000), st.floats(2, 17), st.floats(0, 30), st.floats(0, 30))
def test_drying_undoes_wetting(size, shrinkage, start, end):
    wetter = size + movement_by_shrinkage_mm(size, shrinkage, start, end)
    assert wetter + movement_by_shrinkage_mm(wetter, shrinkage, end, start) == pytest.approx(size)


def test_a_panel_made_dry_needs_room_and_one_made_wet_needs_none():
    assert panel_clearance_mm(400, 0.00369, 8, 12) == pytest.approx(2.952)
    assert panel_clearance_mm(400, 0.00369, 12, 8) == 0


def test_humidity_in_per_cent_is_refused():
    with pytest.raises(RuleBroken, match=r"0\.5 for 50 %"):
        equilibrium_moisture(20, 50)


def test_moisture_beyond_fibre_saturation_is_refused():
    with pytest.raises(RuleBroken) as caught:
        movement_mm(400, 0.003, 8, 45)
    assert caught.value.field == "to_moisture"
