"""Adding, changing and removing parts."""

from decimal import Decimal

import pytest

from orders.core.errors import NotNow, RuleBroken, RulesBroken, Stale
from orders.services.assemblies import add_assembly
from orders.services.parts import change_part, remove_part
from tests.orders.services.making import a_rail, a_stile, a_tenon, an_enquiry

pytestmark = pytest.mark.django_db


def a_frame_of_nothing():
    return add_assembly(an_enquiry(), name="Frame")


def test_marks_are_given_in_turn_and_chosen_ones_are_kept():
    frame = a_frame_of_nothing()
    marks = [a_rail(frame, mark=mark).mark for mark in ("", "P7", "", "top")]
    assert marks == ["P1", "P7", "P8", "top"]


def test_a_mark_is_not_given_twice():
    frame = a_frame_of_nothing()
    a_rail(frame, mark="P1")
    with pytest.raises(RuleBroken, match="already has a part P1; choose another mark") as caught:
        a_rail(frame, mark="P1")
    assert caught.value.field == "mark"


def test_each_assembly_has_its_own_marks():
    commission = an_enquiry()
    for name in ("Seat", "Back"):
        assert a_rail(add_assembly(commission, name=name)).mark == "P1"


@pytest.mark.parametrize("size", [0, -1, 0.4, 20_001, 1e300, float("nan"), float("inf"), "x", None])
@pytest.mark.parametrize("field", ["length_mm", "width_mm", "thickness_mm"])
def test_absurd_sizes_are_refused_beside_their_field(field, size):
    with pytest.raises(RuleBroken, match=f"Give the {field.removesuffix('_mm')}") as caught:
        a_rail(a_frame_of_nothing(), **{field: size})
    assert caught.value.field == field


def test_sizes_are_kept_to_a_thousandth():
    part = a_rail(a_frame_of_nothing(), length_mm=Decimal("30.1625"), width_mm=19.05)
    part.refresh_from_db()
    assert (part.length_mm, part.width_mm) == (Decimal("30.162"), Decimal("19.05"))


@pytest.mark.parametrize("quantity", [0, 10_000, -3])
def test_a_quantity_lies_from_1_to_9999(quantity):
    with pytest.raises(RuleBroken, match=r"Give a quantity between 1 and 9,999\."):
        a_rail(a_frame_of_nothing(), quantity=quantity)


def test_unknown_timber_is_refused_with_near_names():
    with pytest.raises(RuleBroken, match="Did you mean oak-red or oak-white") as caught:
        a_rail(a_frame_of_nothing(), species="oak")
    assert caught.value.field == "species"


def test_every_fault_of_a_part_is_said():
    with pytest.raises(RulesBroken) as caught:
        a_rail(a_frame_of_nothing(), name="", length_mm=0, quantity=0, grain="up")
    assert {fault.field for fault in caught.value.errors} == {
        "name",
        "length_mm",
        "quantity",
        "grain",
    }


def test_changing_a_part_keeps_its_mark_and_makes_the_next_version():
    part = a_rail(a_frame_of_nothing())
    changed = change_part(part, version=1, length_mm=640)
    assert (changed.mark, changed.length_mm, changed.version) == ("P1", 640, 2)
    with pytest.raises(Stale):
        change_part(part, version=1, length_mm=650)


def test_a_part_may_not_become_too_small_for_its_joints():
    frame = a_frame_of_nothing()
    joint = a_tenon(frame, dimensions={"tenon_length_mm": 40})
    with pytest.raises(
        RuleBroken,
        match="Joint J1 mortise-tenon no longer fits: The tenon is longer than the stile is wide",
    ) as caught:
        change_part(joint.part_a, width_mm=38)
    assert caught.value.field == "width_mm"
    joint.part_a.refresh_from_db()
    assert joint.part_a.width_mm == 48
    assert change_part(joint.part_a, width_mm=44).width_mm == 44


def test_a_part_that_is_joined_is_not_removed():
    frame = a_frame_of_nothing()
    joint = a_tenon(frame)
    with pytest.raises(NotNow, match="P1 is joined by J1; remove the joint first"):
        remove_part(joint.part_a)
    lone = a_stile(frame)
    remove_part(lone)
    assert frame.parts.count() == 2
