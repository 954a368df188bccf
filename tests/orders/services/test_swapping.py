"""One joint type in the place of another."""

import pytest

from orders.core.errors import NotNow, RuleBroken, RulesBroken
from orders.services.swapping import swap_all, swap_joint
from tests.builders import a_commission, a_joint, a_part, a_workshop, an_assembly

pytestmark = pytest.mark.django_db


@pytest.fixture
def assembly():
    return an_assembly(a_commission(a_workshop()))


def test_a_swapped_joint_follows_the_rules_of_thumb_of_its_new_type(assembly):
    joint = a_joint(assembly, dimensions={"tenon_length_mm": 31}, count=4)

    swapped = swap_joint(joint, "dowel")

    assert (swapped.type, swapped.count) == ("dowel", 4)
    assert "tenon_length_mm" not in swapped.dimensions


def test_all_of_a_type_are_swapped_together(assembly):
    other = an_assembly(assembly.commission)
    kept = a_joint(other, type="butt")
    for place in (assembly, other):
        a_joint(place)

    swapped = swap_all(assembly.commission, "mortise-tenon", "dowel")

    assert len(swapped) == 2
    kept.refresh_from_db()
    assert kept.type == "butt"


def test_where_one_does_not_fit_none_is_swapped(assembly):
    fits = a_joint(assembly)
    thin = a_part(assembly, name="slat", thickness_mm=4, width_mm=20)
    a_joint(assembly, part_b=thin, dimensions={"tenon_thickness_mm": 2})

    with pytest.raises(RulesBroken, match="too thin"):
        swap_all(assembly.commission, "mortise-tenon", "biscuit-mitre")

    fits.refresh_from_db()
    assert fits.type == "mortise-tenon"


def test_a_type_that_is_none_is_refused(assembly):
    with pytest.raises((RuleBroken, RulesBroken), match="no joint type"):
        swap_joint(a_joint(assembly), "glue-and-hope")


def test_a_frozen_breakdown_is_not_swapped(assembly):
    joint = a_joint(assembly)
    type(assembly.commission).objects.update(stage="in-work")

    with pytest.raises(NotNow):
        swap_joint(joint, "dowel")
