"""A workshop that can price a commission, and people who look at it."""

import pytest
from django.test import Client as Browser

from tests.builders import (
    a_commission,
    a_joint,
    a_member,
    a_part,
    a_shop_that_can_price,
    an_assembly,
    extra_work,
)


@pytest.fixture
def workshop(db):
    return a_shop_that_can_price(name="Test joinery")


@pytest.fixture
def commission(workshop):
    """A bench with a seat and a frame of two joints."""
    commission = a_commission(workshop, title="Hall bench", number=417)
    bench = an_assembly(commission, name="Bench")
    a_part(bench, name="seat", width_mm=300, thickness_mm=30)
    frame = an_assembly(commission, name="Frame", parent=bench, quantity=2)
    a_joint(frame, count=4)
    a_joint(frame, count=2, type="corner-halving")
    extra_work(bench)
    return commission


@pytest.fixture
def signed_in(workshop):
    def sign_in(role="owner", shop=None):
        browser = Browser()
        browser.force_login(a_member(shop or workshop, role), "shop.services.access.RoleBackend")
        return browser

    return sign_in
