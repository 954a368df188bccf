"""Two who press at the same moment."""

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from orders.core.errors import NotNow, WorkshopError
from orders.models import Operation
from shop.models import Clocking
from shop.services.clocking import finish, start
from tests.builders import a_hand, a_workshop, an_operation, an_order
from tests.shop.test_worker import in_threads

pytestmark = pytest.mark.django_db(transaction=True)
NINE = datetime(2026, 1, 5, 9, tzinfo=UTC)


def test_one_hand_runs_one_clocking_whatever_is_pressed():
    workshop = a_workshop()
    hand, order = a_hand(workshop), an_order(workshop)
    operations = [an_operation(order) for _ in range(6)]
    found = in_threads(6, lambda number: start(operations[number], hand, at=NINE))
    assert all(isinstance(one, Clocking) for one in found)
    assert Clocking.objects.running().count() == 1
    assert Operation.objects.filter(state="running").count() == 1


def test_the_same_key_sent_by_two_is_one_clocking():
    workshop = a_workshop()
    hand, operation = a_hand(workshop), an_operation(an_order(workshop))
    key = uuid4()
    found = in_threads(6, lambda _: start(operation, hand, at=NINE, key=key).pk)
    assert len(set(found)) == 1
    assert Clocking.objects.count() == 1


def test_the_same_start_without_a_key_is_taken_once():
    workshop = a_workshop()
    hand, operation = a_hand(workshop), an_operation(an_order(workshop))
    found = in_threads(4, lambda _: start(operation, hand, at=NINE))
    assert sum(isinstance(one, NotNow) for one in found) == 3
    assert Clocking.objects.count() == 1


def test_pieces_counted_by_two_hands_at_once_add_up():
    workshop = a_workshop()
    operation = an_operation(an_order(workshop), pieces=10)
    hands = [a_hand(workshop) for _ in range(4)]
    for hand in hands:
        start(operation, hand, at=NINE)
    later = NINE + timedelta(minutes=5)
    in_threads(4, lambda number: finish(operation, hands[number], at=later, pieces=2))
    operation.refresh_from_db()
    assert (operation.pieces_done, operation.state) == (8, Operation.State.PAUSED)


def test_more_pieces_than_there_are_are_never_counted():
    workshop = a_workshop()
    operation = an_operation(an_order(workshop), pieces=4)
    hands = [a_hand(workshop) for _ in range(3)]
    for hand in hands:
        start(operation, hand, at=NINE)
    later = NINE + timedelta(minutes=5)
    found = in_threads(3, lambda number: finish(operation, hands[number], at=later, pieces=2))
    operation.refresh_from_db()
    assert operation.pieces_done == 4
    assert sum(isinstance(one, WorkshopError) for one in found) == 1


def test_the_table_itself_refuses_a_second_running_clocking():
    workshop = a_workshop()
    hand, operation = a_hand(workshop), an_operation(an_order(workshop))
    start(operation, hand, at=NINE)
    with pytest.raises(IntegrityError), transaction.atomic():
        Clocking.objects.create(operation=operation, hand=hand, started_at=NINE)


def test_two_hands_who_change_places_do_not_lock_each_other_out():
    workshop = a_workshop()
    first, second = an_operation(an_order(workshop)), an_operation(an_order(workshop))
    hands = [a_hand(workshop), a_hand(workshop)]
    at = NINE
    for turn in range(8):
        places = [first, second] if turn % 2 else [second, first]
        found = in_threads(2, lambda n, places=places, at=at: start(places[n], hands[n], at=at))
        assert all(isinstance(one, Clocking) for one in found)
        at += timedelta(minutes=1)


def test_what_follows_two_that_end_at_once_is_ready():
    workshop = a_workshop()
    order = an_order(workshop)
    for _ in range(5):
        pair = [an_operation(order, pieces=1), an_operation(order, pieces=1)]
        hands = [a_hand(workshop), a_hand(workshop)]
        following = an_operation(order, after=pair)
        for operation, hand in zip(pair, hands, strict=True):
            start(operation, hand, at=NINE)
        in_threads(2, lambda n, o=pair, h=hands: finish(o[n], h[n], at=NINE, pieces=1))
        following.refresh_from_db()
        assert following.state == Operation.State.READY
