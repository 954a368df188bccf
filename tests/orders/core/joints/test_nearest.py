"""A refused dimension comes with the nearest value that would do, and that value does."""

import pytest

from orders.core.book import joint_types
from orders.core.errors import RuleBroken

TRIED = (0, -3, 0.001, 1, 7, 33, 90, 180, 500, 10_000)


def fault_of(kind, given):
    """Why the joint cannot be made, or None."""
    try:
        kind.fitted(*kind.example, **given)
    except RuleBroken as fault:
        return fault
    return None


@pytest.mark.parametrize("code", sorted(joint_types()))
def test_the_nearest_value_keeps_the_rule(code):
    kind = joint_types()[code]
    names = [own.name for own in kind.fields(*kind.example) if not own.choices]
    for given in ({name: value} for name in names for value in TRIED):
        fault = fault_of(kind, given)
        if fault is None or fault.nearest is None:
            continue
        again = fault_of(kind, given | {fault.field: fault.nearest})
        assert again is None or again.field != fault.field


def test_a_mitre_of_no_angle_is_led_to_the_least_that_can_be_cut():
    assert fault_of(joint_types()["mitre"], {"internal_angle_degree": -3}).nearest == 10
