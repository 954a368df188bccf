"""Adding, changing, removing and copying assemblies."""

import pytest

from orders.core.errors import NotNow, RuleBroken, Stale
from orders.models import Assembly, Joint, Part
from orders.services.assemblies import (
    add_assembly,
    change_assembly,
    duplicate_assembly,
    remove_assembly,
)
from orders.services.release import release
from tests.orders.services.making import a_frame, accepted, an_enquiry

pytestmark = pytest.mark.django_db


def names(commission):
    return [assembly.name for assembly in commission.assemblies.all()]


def test_assemblies_stand_in_the_order_they_were_added():
    commission = an_enquiry()
    for name in ("Seat", "Back", "Arms"):
        add_assembly(commission, name=name)
    assert names(commission) == ["Seat", "Back", "Arms"]


@pytest.mark.parametrize("quantity", [0, -1, 10_000, 1.5, True, None, "many"])
def test_a_quantity_is_a_whole_number_from_1_to_9999(quantity):
    with pytest.raises(RuleBroken, match="Give a quantity") as caught:
        add_assembly(an_enquiry(), name="Seat", quantity=quantity)
    assert caught.value.field == "quantity"


def test_a_parent_of_another_commission_is_refused():
    other = add_assembly(an_enquiry(), name="Seat")
    with pytest.raises(RuleBroken, match="among the assemblies of this commission") as caught:
        add_assembly(an_enquiry(), name="Back", parent=other)
    assert caught.value.field == "parent"


def test_assemblies_may_not_stand_in_a_circle():
    commission = an_enquiry()
    case = add_assembly(commission, name="Case")
    drawer = add_assembly(commission, name="Drawer", parent=case)
    front = add_assembly(commission, name="Front", parent=drawer)
    with pytest.raises(RuleBroken, match="Front is part of Case; choose another parent"):
        change_assembly(case, parent=front)
    with pytest.raises(RuleBroken, match="Case is part of Case; choose another parent"):
        change_assembly(case, parent=case)


def test_assemblies_stand_twelve_deep_at_most():
    commission = an_enquiry()
    parent = None
    for number in range(12):
        parent = add_assembly(commission, name=f"Level {number}", parent=parent)
    with pytest.raises(RuleBroken, match="Assemblies may stand 12 deep"):
        add_assembly(commission, name="Too deep", parent=parent)
    pair = add_assembly(commission, name="Pair")
    add_assembly(commission, name="Inner", parent=pair)
    with pytest.raises(RuleBroken, match="Assemblies may stand 12 deep"):
        change_assembly(pair, parent=parent.parent)


def test_an_assembly_may_move_to_another_parent():
    commission = an_enquiry()
    case, drawer = (add_assembly(commission, name=name) for name in ("Case", "Drawer"))
    moved = change_assembly(drawer, version=1, parent=case, quantity=3)
    assert (moved.parent, moved.quantity, moved.version) == (case, 3, 2)
    assert change_assembly(moved, parent=None).parent is None


def test_removing_takes_all_that_is_within():
    commission = an_enquiry()
    case = a_frame(commission)
    a_frame(commission, parent=case)
    remove_assembly(case)
    for model in (Assembly, Part, Joint):
        assert not model.objects.exists()


def test_what_was_removed_meanwhile_is_said():
    assembly = add_assembly(an_enquiry(), name="Case")
    remove_assembly(assembly)
    with pytest.raises(Stale, match="Somebody removed this while you had it open"):
        change_assembly(assembly, name="Box")


def test_a_copy_has_parts_joints_extras_and_what_is_within():
    commission = an_enquiry()
    case = a_frame(commission)
    door = a_frame(commission, name="Door", parent=case)
    copy = duplicate_assembly(door)
    assert (copy.name, copy.parent, copy.version) == ("Door (copy)", case, 1)
    assert (copy.parts.count(), copy.joints.count(), copy.extras.count()) == (2, 1, 3)
    joint = copy.joints.get()
    assert {joint.part_a.assembly, joint.part_b.assembly} == {copy}
    whole = duplicate_assembly(case, name="Second case")
    assert sorted(whole.children.values_list("name", flat=True)) == ["Door", "Door (copy)"]


def test_a_frozen_breakdown_does_not_change():
    commission = an_enquiry()
    frame = a_frame(commission)
    release(accepted(commission), by=None)
    for change in (
        lambda: add_assembly(commission, name="More"),
        lambda: change_assembly(frame, quantity=2),
        lambda: remove_assembly(frame),
        lambda: duplicate_assembly(frame),
    ):
        with pytest.raises(NotNow, match="its breakdown is frozen"):
            change()
