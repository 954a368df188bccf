"""Fixings and jigs that joints carry: kept, timed, and refused where they cannot be."""

import pytest

from orders.core.errors import RuleBroken, RulesBroken
from orders.services.breakdown import breakdown
from orders.services.joints import add_joint, change_joint
from orders.services.release import release
from orders.services.standards import current_times, first_edition
from tests.builders import a_commission, a_joint, a_part, a_workshop, an_assembly

pytestmark = pytest.mark.django_db
PINS = {"fixing": "panel-pin-20", "count": 3}


@pytest.fixture
def assembly():
    workshop = a_workshop()
    first_edition(workshop)
    return an_assembly(a_commission(workshop))


def pinned(assembly, **more):
    side, back = (a_part(assembly, thickness_mm=thick) for thick in (20, 20))
    return add_joint(
        assembly, type="butt", part_a=side, part_b=back, count=2, **{"fixings": [PINS], **more}
    )


def test_fixings_are_driven_and_counted(assembly):
    joint = pinned(assembly)

    line = (
        breakdown(assembly.commission, current_times(assembly.commission.workshop))
        .assemblies[0]
        .joints[0]
    )

    assert joint.fixings == [PINS]
    assert [carried.count for carried in line.fixings] == [3]
    assert any(operation.code == "drive-panel-pin-20" for operation in line.operations)


def test_fixings_are_driven_after_the_glue_is_spread(assembly):
    joint = pinned(assembly)
    commission = assembly.commission
    type(commission).objects.filter(pk=commission.pk).update(stage="accepted")

    codes = [one.code for one in release(commission, by=None) if one.joint_id == joint.pk]

    assert codes.index("drive-panel-pin-20") > codes.index("glue")


def test_a_jig_takes_a_set_up_and_saves_the_rest(assembly):
    joint = a_joint(assembly, type="dowel", count=20, method="hand")
    times = current_times(assembly.commission.workshop)
    before = breakdown(assembly.commission, times).minutes

    change_joint(joint, jig="dowelling-jig")

    line = breakdown(assembly.commission, times).assemblies[0].joints[0]
    assert line.jig.label == "dowelling jig"
    assert breakdown(assembly.commission, times).minutes < before


@pytest.mark.parametrize(
    ("fixings", "field"),
    [
        ([{"fixing": "rivet", "count": 1}], "fixings/0/fixing"),
        ([{"fixing": "panel-pin-20", "count": 0}], "fixings/0/count"),
        ([{"fixing": "panel-pin-20", "count": "many"}], "fixings/0/count"),
        ([PINS, {"fixing": "bed-bolt-120", "count": 1}], "fixings/1"),
    ],
)
def test_fixings_that_cannot_be_are_named(assembly, fixings, field):
    thin = [a_part(assembly, thickness_mm=20, width_mm=40) for _ in range(2)]

    with pytest.raises((RuleBroken, RulesBroken)) as caught:
        add_joint(assembly, type="overlap", part_a=thin[0], part_b=thin[1], fixings=fixings)

    errors = getattr(caught.value, "errors", (caught.value,))
    assert errors[0].field == field


def test_a_jig_that_is_none_is_named(assembly):
    with pytest.raises((RuleBroken, RulesBroken), match="no jig"):
        pinned(assembly, jig="wand")
