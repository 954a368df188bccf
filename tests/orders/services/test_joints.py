"""Adding, changing and removing joints."""

from decimal import Decimal

import pytest

from orders.core.book import joint_types
from orders.core.errors import NotNow, RuleBroken, RulesBroken
from orders.services.assemblies import add_assembly
from orders.services.joints import add_joint, change_joint, remove_joint, study_of
from orders.services.release import release
from tests.orders.services.making import a_frame, a_rail, a_stile, a_tenon, accepted, an_enquiry

pytestmark = pytest.mark.django_db


def an_empty_frame():
    return add_assembly(an_enquiry(), name="Frame")


def test_a_joint_gets_the_next_mark_and_follows_the_rule_of_thumb():
    joint = a_tenon(an_empty_frame())
    assert (joint.mark, joint.dimensions) == ("J1", {})
    assert study_of(joint).joint.own_dimensions()["tenon_thickness_mm"] == pytest.approx(8)


def test_own_dimensions_are_kept_as_plain_numbers():
    given = {"tenon_length_mm": Decimal("32.5"), "tenon_width_mm": "", "clearance_mm": None}
    joint = a_tenon(an_empty_frame(), dimensions=given)
    joint.refresh_from_db()
    assert joint.dimensions == {"tenon_length_mm": 32.5}


def test_a_tenon_longer_than_the_stile_is_wide_is_refused_beside_its_length():
    with pytest.raises(RuleBroken, match="longer than the stile is wide; shorten it") as caught:
        a_tenon(an_empty_frame(), dimensions={"tenon_length_mm": 60})
    assert caught.value.field == "dimensions/tenon_length_mm"
    assert caught.value.nearest == 48


def test_a_tenon_thicker_than_its_part_is_refused():
    with pytest.raises(RuleBroken, match="thicker than the thinner of the two parts") as caught:
        a_tenon(an_empty_frame(), dimensions={"tenon_thickness_mm": 30})
    assert caught.value.field == "dimensions/tenon_thickness_mm"


@pytest.mark.parametrize(
    ("dimensions", "sentence"),
    [
        ({"depth": 3}, "has no dimension depth; it has"),
        ({"tenon_length_mm": "long"}, "The tenon length must be a number."),
        ({"tenon_length_mm": [1]}, "Give tenon_length_mm as a number."),
        ({"tenon_length_mm": True}, "Give tenon_length_mm as a number."),
        ({"tenon_length_mm": float("nan")}, "The tenon length must be at least 0.1."),
        ({"tenon_length_mm": -4}, "The tenon length must be at least 0.1."),
    ],
)
def test_odd_dimensions_are_refused(dimensions, sentence):
    with pytest.raises(RuleBroken) as caught:
        a_tenon(an_empty_frame(), dimensions=dimensions)
    assert caught.value.field == f"dimensions/{next(iter(dimensions))}"
    assert sentence in caught.value.message


def test_an_unknown_type_is_refused_with_near_names():
    with pytest.raises(RuleBroken, match="did you mean mortise-tenon") as caught:
        a_tenon(an_empty_frame(), type="mortice-tenon")
    assert caught.value.field == "type"


def test_a_part_is_not_joined_to_itself():
    frame = an_empty_frame()
    stile = a_stile(frame)
    with pytest.raises(RuleBroken, match="A part cannot be joined to itself") as caught:
        add_joint(frame, type="butt", part_a=stile, part_b=stile)
    assert caught.value.field == "part_b"


def test_a_part_of_another_assembly_is_refused():
    frame = an_empty_frame()
    elsewhere = a_rail(add_assembly(frame.commission, name="Door"))
    with pytest.raises(RuleBroken, match="among the parts of Frame") as caught:
        add_joint(frame, type="butt", part_a=a_stile(frame), part_b=elsewhere)
    assert caught.value.field == "part_b"


def test_missing_parts_are_said_together():
    with pytest.raises(RulesBroken) as caught:
        add_joint(an_empty_frame(), type="butt", part_a=None, part_b=None)
    assert {fault.field: fault.message for fault in caught.value.errors} == {
        "part_a": "Choose the part that receives.",
        "part_b": "Choose the part that enters.",
    }


@pytest.mark.parametrize("count", [0, 10_000])
def test_a_count_lies_from_1_to_9999(count):
    with pytest.raises(RuleBroken, match=r"Give a count between 1 and 9,999\."):
        a_tenon(an_empty_frame(), count=count)


def test_changing_a_joint_checks_it_again():
    joint = a_tenon(an_empty_frame())
    changed = change_joint(joint, version=1, method="hand", count=2)
    assert (changed.method, changed.count, changed.mark, changed.version) == ("hand", 2, "J1", 2)
    with pytest.raises(RuleBroken, match="shorten it"):
        change_joint(changed, dimensions={"tenon_length_mm": 60})


def test_another_type_takes_its_own_dimensions():
    joint = a_tenon(an_empty_frame(), dimensions={"tenon_length_mm": 30})
    with pytest.raises(RuleBroken, match="has no dimension tenon_length_mm"):
        change_joint(joint, type="butt")
    assert change_joint(joint, type="butt", dimensions={}).type == "butt"


def test_a_removed_joint_leaves_its_parts():
    frame = an_empty_frame()
    remove_joint(a_tenon(frame))
    assert (frame.joints.count(), frame.parts.count()) == (0, 2)


def test_a_frozen_breakdown_takes_no_joint():
    commission = an_enquiry()
    frame = a_frame(commission)
    release(accepted(commission), by=None)
    joint = frame.joints.get()
    with pytest.raises(NotNow, match="its breakdown is frozen"):
        remove_joint(joint)


@pytest.mark.parametrize("code", sorted(joint_types()))
def test_every_type_of_the_book_can_be_added_and_studied(code):
    frame = an_empty_frame()
    parts = [
        a_rail(
            frame,
            length_mm=section.length_mm,
            width_mm=section.width_mm,
            thickness_mm=section.thickness_mm,
        )
        for section in joint_types()[code].example
    ]
    joint = add_joint(frame, type=code, part_a=parts[0], part_b=parts[1])
    assert study_of(joint).glue.total_mm2 >= 0
