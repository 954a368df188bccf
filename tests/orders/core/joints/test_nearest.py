"""A refused dimension comes with the nearest value that would do, and that value does."""

import pytest

from orders.core.book import joint_types
from orders.core.errors import RuleBroken

TRIED = (0, -3, 0.001, 1, 7, 33, 90, 180, 500, 10_000)


@pytest.mark.parametrize("code", sorted(joint_types()))
def test_the_nearest_value_keeps_the_rule(code):
    kind = joint_types()[code]
    a, b = kind.example
    for own in kind.fields(a, b):
        for value in () if own.choices else TRIED:
            given = {own.name: value}
            try:
                kind.fitted(a, b, **given)
            except RuleBroken as fault:
                if fault.nearest is not None:
                    assert still_refused(kind, given | {fault.field: fault.nearest}) != fault.field


def still_refused(kind, given):
    """The dimension that is at fault now, or nothing."""
    try:
        kind.fitted(*kind.example, **given)
    except RuleBroken as fault:
        return fault.field
    return ""


def test_a_mitre_of_no_angle_is_led_to_the_least_that_can_be_cut():
    kind = joint_types()["mitre"]
    with pytest.raises(RuleBroken) as caught:
        kind.fitted(*kind.example, internal_angle_degree=-3)
    assert caught.value.nearest == 10
