"""A shop that can price, and a hand who works there."""

import pytest

from tests.builders import a_hand, a_shop_that_can_price


@pytest.fixture
def workshop(db):
    return a_shop_that_can_price()


@pytest.fixture
def hand(workshop):
    return a_hand(workshop)
