"""Two people at work on one commission at the same moment."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from orders.core.errors import NotNow
from orders.services.assemblies import add_assembly
from orders.services.release import release
from tests.builders import a_workshop
from tests.orders.services.making import a_frame, a_rail, accepted, an_enquiry

pytestmark = [pytest.mark.service, pytest.mark.django_db(transaction=True)]


def at_once(act, times):
    """What `times` threads that do the same thing are answered."""

    def alone(_):
        try:
            return act()
        except NotNow as error:
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(times) as threads:
        return list(threads.map(alone, range(times)))


def test_parts_get_different_marks():
    frame = add_assembly(an_enquiry(), name="Frame")
    marks = at_once(lambda: a_rail(frame).mark, 6)
    assert sorted(marks) == ["P1", "P2", "P3", "P4", "P5", "P6"]


def test_commissions_get_different_numbers():
    workshop = a_workshop()
    numbers = at_once(lambda: an_enquiry(workshop).number, 6)
    assert sorted(numbers) == [1, 2, 3, 4, 5, 6]


def test_a_commission_is_released_once():
    commission = an_enquiry()
    a_frame(commission)
    commission = accepted(commission)
    answers = at_once(lambda: release(commission, by=None), 3)
    assert sum(isinstance(answer, NotNow) for answer in answers) == 2
    assert commission.operations.count() == 9
