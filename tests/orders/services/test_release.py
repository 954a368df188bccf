"""Releasing a commission to the bench."""

import pytest

from orders.core.errors import NotNow, NotReady
from orders.core.stages import Stage
from orders.models import Operation
from orders.services.assemblies import add_assembly
from orders.services.commissions import move
from orders.services.extras import add_extra
from orders.services.parts import add_part
from orders.services.release import release, settle_states
from tests.builders import a_member, a_part, extra_work
from tests.orders.services.making import a_frame, a_rail, a_tenon, accepted, an_enquiry

pytestmark = pytest.mark.django_db


def codes(operations):
    return [operation.code for operation in operations]


def test_the_working_order_of_a_frame():
    commission = an_enquiry()
    a_frame(commission)
    assert codes(release(accepted(commission), by=None)) == [
        "plane-up",
        "mark-out",
        "cut-mortise",
        "cut-tenon",
        "fit",
        "dry-fit",
        "glue",
        "assemble",
        "sand",
    ]


def test_numbers_run_from_one_and_nothing_comes_before_what_it_waits_for():
    commission = an_enquiry()
    case = a_frame(commission, name="Case")
    a_frame(commission, name="Door", quantity=2, parent=case)
    operations = release(accepted(commission), by=None)
    assert [operation.number for operation in operations] == list(range(1, 19))
    for operation in operations:
        assert all(before.number < operation.number for before in operation.after.all())


def test_only_the_first_operations_are_ready():
    commission = an_enquiry()
    a_frame(commission)
    operations = release(accepted(commission), by=None)
    ready = [each.code for each in operations if each.state == Operation.State.READY]
    assert ready == ["plane-up"]
    assert all(each.after.exists() for each in operations if each.code != "plane-up")


def test_two_joints_are_cut_side_by_side_and_glued_after_every_dry_fit():
    commission = an_enquiry()
    frame = add_assembly(commission, name="Frame")
    a_tenon(frame)
    a_tenon(frame)
    operations = release(accepted(commission), by=None)
    ready = [each for each in operations if each.state == Operation.State.READY]
    assert codes(ready) == ["mark-out", "mark-out"]
    first_dry = next(each for each in operations if each.code == "dry-fit")
    assert codes(first_dry.after.all()) == ["fit", "fit"]
    assert codes(operations)[-4:] == ["dry-fit", "dry-fit", "glue", "glue"]


def test_only_the_last_glueing_of_an_assembly_keeps_it_in_clamps():
    commission = an_enquiry(exposure="weather-exterior")
    a_frame(commission)
    operations = release(accepted(commission), by=None)
    assert {each.code: each.cure_min for each in operations if each.cure_min} == {"assemble": 75}


def test_what_stands_within_is_complete_before_the_whole_is_glued_up():
    commission = an_enquiry()
    case = a_frame(commission, name="Case")
    door = a_frame(commission, name="Door", parent=case)
    operations = release(accepted(commission), by=None)
    last_of_door = [each for each in operations if each.assembly_id == door.pk][-1]
    glue_of_case = next(
        each for each in operations if each.assembly_id == case.pk and each.code == "glue"
    )
    assert last_of_door in glue_of_case.after.all()


def test_what_stands_within_an_empty_assembly_still_comes_first():
    commission = an_enquiry()
    case = a_frame(commission, name="Case")
    shelf = add_assembly(commission, name="Shelves", parent=case)
    board = a_frame(commission, name="Board", parent=shelf)
    operations = release(accepted(commission), by=None)
    glue = next(each for each in operations if each.assembly_id == case.pk and each.code == "glue")
    assert (board.pk, "sand") in {(each.assembly_id, each.code) for each in glue.after.all()}


def test_delivery_comes_after_every_assembly():
    commission = an_enquiry()
    first = a_frame(commission, name="First")
    second = a_frame(commission, name="Second")
    add_extra(first, operation="deliver")
    add_extra(first, operation="install")
    operations = release(accepted(commission), by=None)
    assert codes(operations)[-2:] == ["deliver", "install"]
    waits = {(each.assembly_id, each.code) for each in operations[-2].after.all()}
    assert waits == {(first.pk, "sand"), (second.pk, "sand")}


def test_pieces_and_minutes_are_for_the_whole_commission():
    commission = an_enquiry()
    a_frame(commission, quantity=3)
    operations = release(accepted(commission), by=None)
    cut = next(each for each in operations if each.code == "cut-tenon")
    assert cut.pieces == 12
    assert cut.minutes == pytest.approx(cut.setup_min + 12 * cut.each_min)
    assert (cut.station_kind, cut.skill, cut.method) == ("tenoner", "machining", "machine")
    assert cut.name == "Cut the tenon, J1"


def test_release_puts_the_commission_in_work_and_says_who_did():
    commission = an_enquiry()
    a_frame(commission)
    by = a_member(commission.workshop)
    release(accepted(commission), by=by)
    commission.refresh_from_db()
    last = commission.moves.last()
    assert commission.stage == Stage.IN_WORK
    assert (last.from_stage, last.to_stage, last.by) == (Stage.ACCEPTED, Stage.IN_WORK, by)


def test_a_released_breakdown_is_frozen():
    commission = an_enquiry()
    frame = a_frame(commission)
    release(accepted(commission), by=None)
    with pytest.raises(NotNow, match="its breakdown is frozen"):
        a_rail(frame)


def test_an_enquiry_cannot_be_released():
    commission = an_enquiry()
    a_frame(commission)
    with pytest.raises(NotNow, match="Only an accepted commission can be released"):
        release(commission, by=None)


def test_a_commission_is_released_once():
    commission = an_enquiry()
    a_frame(commission)
    release(accepted(commission), by=None)
    with pytest.raises(NotNow, match="was released already"):
        release(commission, by=None)


def test_the_bench_is_reached_by_a_release_only():
    commission = accepted(an_enquiry())
    with pytest.raises(NotNow, match="Release the commission to the bench"):
        move(commission, Stage.IN_WORK, by=None)


def test_nothing_to_do_is_said():
    commission = an_enquiry()
    a_rail(add_assembly(commission, name="Frame"))
    with pytest.raises(NotReady, match="There is nothing to do"):
        release(accepted(commission), by=None)
    commission.refresh_from_db()
    assert commission.stage == Stage.ACCEPTED


def test_work_without_minutes_is_said():
    commission = an_enquiry()
    frame = add_assembly(commission, name="Frame")
    add_extra(frame, operation="sand", minutes=0)
    with pytest.raises(NotReady, match="takes no time"):
        release(accepted(commission), by=None)


def test_unknown_timber_and_a_joint_that_cannot_be_made_are_said_together():
    commission = an_enquiry()
    frame = a_frame(commission)
    a_part(frame, mark="P8", name="panel", species="moonwood")
    frame.joints.update(dimensions={"tenon_length_mm": 400})
    with pytest.raises(NotReady) as caught:
        release(accepted(commission), by=None)
    assert "There is no species 'moonwood'" in caught.value.message
    assert "The tenon is longer than the stile is wide; shorten it." in caught.value.message


def test_work_that_no_edition_times_is_said():
    commission = an_enquiry()
    extra_work(a_frame(commission), operation="gild")
    with pytest.raises(NotReady, match="There is no operation 'gild'"):
        release(accepted(commission), by=None)


def test_too_many_pieces_are_refused():
    commission = an_enquiry()
    frame = a_frame(commission, quantity=9_999)
    frame.joints.update(count=9_999)
    with pytest.raises(NotReady, match="99,980,001 times: check the quantities"):
        release(accepted(commission), by=None)


def test_states_follow_from_what_is_done():
    commission = an_enquiry()
    a_frame(commission)
    operations = release(accepted(commission), by=None)
    first = operations[0]
    Operation.objects.filter(pk=first.pk).update(state=Operation.State.DONE)
    assert settle_states(commission) == 1
    assert commission.operations.get(code="mark-out").state == Operation.State.READY
    Operation.objects.filter(pk=first.pk).update(state=Operation.State.PAUSED)
    assert settle_states(commission) == 1
    assert commission.operations.get(code="mark-out").state == Operation.State.WAITING


def test_a_large_commission_is_released_in_few_queries(django_assert_max_num_queries):
    commission = an_enquiry()
    frame = add_assembly(commission, name="Frame")
    stile = add_part(
        frame, name="post", species="oak-white", length_mm=900, width_mm=60, thickness_mm=40
    )
    rail = a_rail(frame)
    for _ in range(40):
        a_tenon(frame, part_a=stile, part_b=rail)
    commission = accepted(commission)
    with django_assert_max_num_queries(20):
        operations = release(commission, by=None)
    assert len(operations) == 240
