"""Labour per joint type on the screen."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from orders.models import Operation
from shop.models import Clocking
from tests.builders import a_hand, a_joint, a_workshop, an_assembly, an_operation, an_order


def clocked(operation, minutes, pieces, hand, days_ago=1):
    start = timezone.now() - timedelta(days=days_ago)
    return Clocking.objects.create(
        operation=operation,
        hand=hand,
        started_at=start,
        ended_at=start + timedelta(minutes=minutes),
        pieces=pieces,
    )


@pytest.fixture
def hand(workshop):
    return a_hand(workshop, name="Nora Quill")


@pytest.fixture
def operation(workshop):
    """Chopping four mortises: five to set up, ten for each."""
    order = an_order(workshop, number=88)
    joint = a_joint(an_assembly(order), mark="J1")
    return an_operation(order, joint=joint, code="chop", name="Chop mortises, J1")


def page_of(browser, **asked):
    return browser.get(reverse("labour"), asked).content.decode()


def test_estimated_stands_against_taken_with_the_number_of_clockings(signed_in, operation, hand):
    clocked(operation, 30, 2, hand, days_ago=2)
    clocked(operation, 24, 2, hand)

    page = page_of(signed_in())

    assert "Mortise and tenon" in page
    row = page[page.index("Chop mortises") :]
    figures = [cell.split("<")[0] for cell in row.split('<td class="num">')[1:6]]
    assert figures == ["2", "4", "45.0", "54.0", "1.20"]


def test_a_batch_with_no_finished_piece_does_not_count(signed_in, operation, hand):
    clocked(operation, 30, 0, hand)

    assert "Nothing to compare yet" in page_of(signed_in())


def test_work_of_no_joint_has_its_own_place(signed_in, workshop, hand):
    sanding = an_operation(an_order(workshop), code="sand", name="Sand")
    clocked(sanding, 50, 4, hand)

    assert "Belongs to no joint" in page_of(signed_in())


def test_filters_leave_out_what_is_not_asked_for(signed_in, operation, hand):
    clocked(operation, 50, 4, hand, days_ago=30)
    today = timezone.localdate()

    assert "Chop mortises" in page_of(signed_in(), species="oak-white")
    recent = page_of(signed_in(), since=str(today - timedelta(days=7)))
    assert "Nothing was clocked like this" in recent
    assert "Nothing was clocked like this" in page_of(signed_in(), method="machine")


def test_the_clockings_stand_behind_a_line(signed_in, operation, hand):
    clocked(operation, 50, 4, hand)
    asked = {"joint": "mortise-tenon", "operation": "chop"}

    page = signed_in().get(reverse("labour-behind"), asked).content.decode()

    assert "0088.01" in page
    assert "Nora Quill" in page


def test_an_estimator_is_not_told_who_clocked(signed_in, operation, hand):
    clocked(operation, 50, 4, hand)
    asked = {"joint": "mortise-tenon", "operation": "chop"}

    page = signed_in("estimator").get(reverse("labour-behind"), asked).content.decode()

    assert "0088.01" in page
    assert "Nora Quill" not in page


def test_clockings_of_another_workshop_are_not_counted(signed_in, operation, hand):
    clocked(operation, 50, 4, hand)

    assert "Nothing to compare yet" in page_of(signed_in("owner", a_workshop()))


@pytest.mark.parametrize(("role", "status"), [("foreman", 200), ("hand", 403)])
def test_roles(signed_in, role, status):
    assert signed_in(role).get(reverse("labour")).status_code == status


def test_a_filter_that_makes_no_sense_filters_nothing(signed_in, operation, hand):
    clocked(operation, 50, 4, hand)

    assert "Chop mortises" in page_of(signed_in(), since="yesterday")


def test_queries_do_not_grow(signed_in, workshop, operation, hand, django_assert_max_num_queries):
    for number in range(5):
        clocked(operation, 10, 1, hand, days_ago=number + 1)
        more = an_operation(operation.commission, code=f"code-{number}")
        clocked(more, 10, 1, hand, days_ago=number + 9)
    browser = signed_in()
    assert Operation.objects.count() == 6

    with django_assert_max_num_queries(15):
        browser.get(reverse("labour"))
