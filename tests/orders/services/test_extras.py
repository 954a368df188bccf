"""Work that belongs to no joint."""

from decimal import Decimal

import pytest

from orders.core.errors import RuleBroken
from orders.services.assemblies import add_assembly
from orders.services.extras import add_extra, change_extra, remove_extra, usual_extras
from tests.orders.services.making import an_enquiry

pytestmark = pytest.mark.django_db


def a_frame():
    return add_assembly(an_enquiry(), name="Frame")


def test_an_extra_takes_the_standard_time_unless_it_has_minutes():
    frame = a_frame()
    assert add_extra(frame, operation="sand").minutes is None
    assert add_extra(frame, operation="sand", minutes=12.5).minutes == Decimal("12.5")


def test_an_unknown_operation_is_refused_with_near_names():
    with pytest.raises(
        RuleBroken, match=r"There is no operation 'sanding'; choose from .*sand"
    ) as caught:
        add_extra(a_frame(), operation="sanding")
    assert caught.value.field == "operation"


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        ({"minutes": -1}, "minutes", "Give the minutes between 0 and 100,000."),
        ({"minutes": 100_001}, "minutes", "Give the minutes between 0 and 100,000."),
        ({"minutes": "long"}, "minutes", "Give the minutes as a number."),
        ({"count": 0}, "count", "Give a count between 1 and 9,999."),
        ({"name": "x" * 121}, "name", "Shorten the name to 120 characters"),
    ],
)
def test_odd_values_are_refused(fields, field, sentence):
    with pytest.raises(RuleBroken) as caught:
        add_extra(a_frame(), operation="sand", **fields)
    assert caught.value.field == field
    assert sentence in caught.value.message


def test_an_extra_changes_and_goes():
    frame = a_frame()
    extra = change_extra(
        add_extra(frame, operation="sand"), version=1, minutes=30, name="Sand fine"
    )
    assert (extra.minutes, extra.name, extra.version) == (30, "Sand fine", 2)
    assert change_extra(extra, minutes=None).minutes is None
    remove_extra(extra)
    assert not frame.extras.exists()


def test_the_usual_extras_are_offered_and_not_added():
    frame = a_frame()
    add_extra(frame, operation="plane-up")
    assert [step.code for step in usual_extras(frame)] == [
        "cut-to-size",
        "mark-parts",
        "assemble",
        "clean-up",
        "sand",
        "finish",
    ]
    assert frame.extras.count() == 1
