"""Exposures and the glue classes they ask for."""

import pytest

from orders.core.errors import RuleBroken
from orders.core.exposure import (
    DurabilityClass,
    Exposure,
    clamp_times_min,
    lowest_class,
    taken_class,
)


@pytest.mark.parametrize(
    ("exposure", "lowest"),
    [
        ("dry-interior", "D1"),
        ("damp-interior", "D2"),
        ("wet-interior", "D3"),
        ("sheltered-exterior", "D3"),
        ("weather-exterior", "D4"),
    ],
)
def test_the_lowest_class_follows_from_the_exposure(exposure, lowest):
    assert lowest_class(exposure) == lowest


@pytest.mark.parametrize("exposure", list(Exposure))
def test_every_exposure_has_a_label_and_a_meaning(exposure):
    assert exposure.label[0].isupper()
    assert exposure.meaning.endswith(".")


def test_a_higher_class_may_be_chosen():
    assert taken_class("dry-interior", "D4") is DurabilityClass.D4


def test_a_lower_class_needs_a_reason_in_words():
    with pytest.raises(RuleBroken, match="asks for D4 or better; choose it, or give the reason"):
        taken_class("weather-exterior", "D2", "  ")
    assert taken_class("weather-exterior", "D2", "It is a model.") is DurabilityClass.D2


def test_every_class_has_its_time_in_clamps():
    times = clamp_times_min()
    assert set(times) == set(DurabilityClass)
    assert all(minutes > 0 for minutes in times.values())
