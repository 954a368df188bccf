"""The standard times of a workshop, edition after edition."""

from dataclasses import replace
from datetime import date

import pytest

from orders.core.errors import NotReady, RuleBroken, RulesBroken
from orders.core.times import Method, starting_times
from orders.models import StandardEdition, StandardTime
from orders.services import standards
from orders.services.standards import (
    current_edition,
    current_times,
    first_edition,
    new_edition,
    times_of,
)
from tests.builders import a_member, a_workshop

pytestmark = pytest.mark.django_db

ROW = starting_times().rows[0]


def test_the_first_edition_is_the_starting_one():
    workshop = a_workshop()
    edition = first_edition(workshop)
    assert times_of(edition) == starting_times()
    assert first_edition(workshop) == edition
    assert StandardEdition.objects.count() == 1


def test_a_workshop_without_an_edition_is_told_so():
    with pytest.raises(NotReady, match="take the starting edition first"):
        current_edition(a_workshop())


def test_a_workshop_without_an_edition_reckons_with_the_starting_times():
    assert current_times(a_workshop()) == starting_times()


def test_a_new_edition_replaces_the_rows_that_changed():
    workshop = a_workshop()
    by = a_member(workshop)
    first_edition(workshop)
    slower = replace(ROW, each_min=ROW.each_min + 3)
    edition = new_edition(workshop, [slower], valid_from=date(2026, 3, 1), by=by, note="Timed")
    times = times_of(edition)
    assert (edition.number, edition.made_by, times.edition) == (2, by, 2)
    assert times.rows == (slower, *starting_times().rows[1:])


def test_the_edition_in_force_depends_on_the_day():
    workshop = a_workshop()
    first = first_edition(workshop)
    second = new_edition(workshop, [replace(ROW, setup_min=9)], valid_from=date(2026, 3, 1))
    assert current_edition(workshop, date(2026, 2, 28)) == first
    assert current_edition(workshop, date(2026, 3, 1)) == second


def test_an_edition_is_read_once(django_assert_num_queries):
    edition = first_edition(a_workshop())
    times_of(edition)
    with django_assert_num_queries(0):
        times_of(edition)


def test_rows_at_fault_are_said_and_no_edition_is_made():
    workshop = a_workshop()
    first_edition(workshop)
    rows = [replace(ROW, each_min=-1.0), replace(ROW, operation="gild"), replace(ROW, spread=0.0)]
    with pytest.raises(RulesBroken) as caught:
        new_edition(workshop, rows, valid_from=date(2026, 3, 1))
    assert [fault.field for fault in caught.value.errors] == [
        "changes/0/each_min",
        "changes/1/operation",
        "changes/2/spread",
    ]
    assert StandardEdition.objects.count() == 1


def test_editions_follow_one_another_in_time():
    workshop = a_workshop()
    first_edition(workshop)
    new_edition(workshop, [], valid_from=date(2026, 3, 1))
    with pytest.raises(RuleBroken, match="choose that day or a later one") as caught:
        new_edition(workshop, [], valid_from=date(2026, 2, 1))
    assert caught.value.field == "valid_from"


def test_editions_of_another_workshop_do_not_count():
    first_edition(a_workshop())
    other = a_workshop()
    assert first_edition(other).number == 1
    assert StandardTime.objects.count() == 2 * len(starting_times().rows)


def test_an_older_edition_is_filled_up_with_joint_types_that_came_later():
    workshop = a_workshop()
    edition = first_edition(workshop)
    StandardTime.objects.filter(edition=edition, joint="dowel").delete()
    StandardTime.objects.filter(edition=edition, joint="", operation="sand").delete()
    StandardTime.objects.filter(edition=edition, joint="butt").update(each_min=99)
    standards._times.cache_clear()

    times = times_of(edition)

    assert times.of("dowel", Method.HAND) == starting_times().of("dowel", Method.HAND)
    assert any(row.operation == "sand" for row in times.of("", Method.HAND))
    assert {row.each_min for row in times.of("butt", Method.HAND)} == {99}
