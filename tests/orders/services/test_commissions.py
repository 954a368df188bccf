"""Opening, changing, moving and copying commissions."""

from datetime import date
from decimal import Decimal

import pytest

from orders.core.errors import NotNow, RuleBroken, RulesBroken, Stale
from orders.core.stages import Stage
from orders.services.assemblies import add_assembly
from orders.services.breakdown import breakdown
from orders.services.commissions import change_commission, duplicate_commission, move
from orders.services.orderfile import export_order
from orders.services.release import release
from orders.services.standards import current_times
from tests.builders import a_client, a_commission, a_member, a_workshop
from tests.orders.services.making import a_frame, accepted, an_enquiry

pytestmark = pytest.mark.django_db


def test_a_commission_opens_as_an_enquiry_with_the_next_number():
    workshop = a_workshop()
    a_commission(workshop, number=41)
    commission = an_enquiry(workshop, due_on=date(2027, 3, 1), weight=Decimal("2.5"))
    assert (commission.number, commission.stage) == (42, Stage.ENQUIRY)
    assert (commission.due_on, commission.weight) == (date(2027, 3, 1), Decimal("2.5"))


def test_each_workshop_counts_for_itself():
    an_enquiry()
    assert an_enquiry().number == 1


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        ({"title": " "}, "title", "Give a title."),
        ({"title": "x" * 121}, "title", "Shorten a title to 120 characters; it has 121."),
        ({"exposure": "moon"}, "exposure", "Choose the exposure from dry-interior, "),
        ({"glue_class": "D9"}, "glue_class", "Choose the glue class from D1, D2, D3, D4."),
        (
            {"exposure": "weather-exterior", "glue_class": "D3"},
            "glue_class",
            "This asks for D4 or better; choose it, or give the reason for D3.",
        ),
        ({"weight": 0}, "weight", "Give the importance between 0.1 and 100."),
        ({"weight": "heavy"}, "weight", "Give the importance as a number."),
        ({"weight": 1.25}, "weight", "Give the importance with 1 decimal at most."),
        ({"due_on": "soon"}, "due_on", "Give the day it is due as a date"),
        ({"client": None}, "client", "Choose one of the workshop's clients."),
    ],
)
def test_values_that_break_a_rule_are_said_beside_their_field(fields, field, sentence):
    with pytest.raises(RuleBroken) as caught:
        an_enquiry(**fields)
    assert caught.value.field == field
    assert sentence in caught.value.message


def test_a_client_of_another_workshop_is_refused():
    with pytest.raises(RuleBroken, match="Choose one of the workshop's clients"):
        an_enquiry(client=a_client(a_workshop()))


def test_several_faults_come_at_once():
    with pytest.raises(RulesBroken) as caught:
        an_enquiry(title="", weight=-1)
    assert {fault.field for fault in caught.value.errors} == {"title", "weight"}


def test_a_lower_glue_class_is_taken_with_a_reason():
    commission = an_enquiry(
        exposure="weather-exterior", glue_class="D3", glue_reason="The client asked for it."
    )
    assert commission.glue_class == "D3"


def test_changing_a_commission_keeps_the_rest():
    commission = an_enquiry(note="Two coats.")
    changed = change_commission(commission, version=1, title="Long bench")
    assert (changed.title, changed.note, changed.version) == ("Long bench", "Two coats.", 2)


def test_a_change_of_an_older_version_is_refused():
    commission = an_enquiry()
    change_commission(commission, title="Long bench")
    with pytest.raises(Stale):
        change_commission(commission, version=1, title="Short bench")


def test_the_due_date_may_change_at_the_bench_but_the_glue_may_not():
    commission = an_enquiry()
    a_frame(commission)
    release(accepted(commission), by=None)
    assert change_commission(commission, due_on=date(2027, 1, 5)).due_on == date(2027, 1, 5)
    with pytest.raises(NotNow, match="its breakdown is frozen"):
        change_commission(commission, exposure="damp-interior")


def test_a_move_is_written_down():
    commission = an_enquiry()
    by = a_member(commission.workshop)
    moved = move(commission, Stage.QUOTED, by=by, note="By telephone")
    line = moved.moves.get()
    assert (moved.stage, moved.version) == (Stage.QUOTED, 2)
    assert (line.from_stage, line.to_stage, line.by, line.note) == (
        Stage.ENQUIRY,
        Stage.QUOTED,
        by,
        "By telephone",
    )


def test_a_move_that_is_not_allowed_says_what_is():
    with pytest.raises(
        NotNow,
        match=r"A commission that is “Enquiry” cannot become “Delivered”\."
        r" It can become “Quoted” or “Declined”\.",
    ):
        move(an_enquiry(), Stage.DELIVERED, by=None)


def test_a_move_is_decided_by_the_stage_as_it_stands():
    commission = an_enquiry()
    move(commission, Stage.QUOTED, by=None)
    with pytest.raises(NotNow):
        move(commission, Stage.QUOTED, by=None)


def test_a_copy_is_a_new_enquiry_with_the_same_breakdown():
    commission = an_enquiry(due_on=date(2027, 3, 1), exposure="wet-interior")
    case = a_frame(commission, quantity=2)
    a_frame(commission, name="Door", parent=case)
    add_assembly(commission, name="Plinth")
    twin = duplicate_commission(accepted(commission), by=None)
    assert (twin.stage, twin.due_on, twin.number) == (
        Stage.ENQUIRY,
        None,
        commission.number + 1,
    )
    assert export_order(twin) == {**export_order(commission), "due_on": None}
    times = current_times(commission.workshop)
    assert breakdown(twin, times).minutes == breakdown(commission, times).minutes
    assert not set(twin.assemblies.all()) & set(commission.assemblies.all())


def test_a_released_commission_may_be_copied():
    commission = an_enquiry()
    a_frame(commission)
    release(accepted(commission), by=None)
    assert not duplicate_commission(commission, by=None).is_frozen
