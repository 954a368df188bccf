"""The species table against identities that typing errors would break."""

import pytest

from orders.core.errors import RuleBroken
from orders.core.species import all_species, species

GROUP_AVERAGES = {"oak-red", "oak-white"}


@pytest.mark.parametrize("kind", all_species().values(), ids=all_species())
def test_coefficients_follow_from_shrinkage(kind):
    """Wood Handbook equation for dimensional change at 10 %: C = 1/(3000/S - 20).

    It does not hold for the two oaks, whose coefficients are averages of a group of species.
    """
    if kind.code in GROUP_AVERAGES:
        return
    for coefficient, shrinkage in (
        (kind.radial_coefficient, kind.radial_shrinkage),
        (kind.tangential_coefficient, kind.tangential_shrinkage),
    ):
        assert coefficient == pytest.approx(1 / (3000 / shrinkage - 20), abs=2.1e-5)


@pytest.mark.parametrize("kind", all_species().values(), ids=all_species())
def test_every_species_is_sane_and_says_where_its_figures_come_from(kind):
    assert 300 < kind.density_kg_m3 < 1100
    assert 1000 < kind.hardness_n < 10_000
    assert 0 < kind.radial_shrinkage < kind.tangential_shrinkage < 13
    assert kind.source


def test_density_is_mass_with_12_per_cent_of_water():
    """Wood Handbook chapter 4: specific gravity .60 at 12 % weighs 672 kg/m3."""
    assert species("ash-white").density_kg_m3 == 672


def test_hardness_is_in_newtons():
    """1360 lbf x 4.448222."""
    assert species("oak-white").hardness_n == 6050


def test_twice_the_hardness_takes_23_per_cent_longer():
    soft, hard = species("pine-eastern-white"), species("redcedar-eastern")
    ratio = hard.hardness_n / soft.hardness_n
    assert hard.time_factor / soft.time_factor == pytest.approx(ratio**0.3)
    assert pytest.approx(1.23, abs=0.002) == 2**0.3


def test_unknown_species_is_refused_with_near_names():
    with pytest.raises(RuleBroken, match="oak-red or oak-white") as refused:
        species("oak")
    assert refused.value.field == "species"
