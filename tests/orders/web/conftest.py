"""A workshop with an order in it, and people who are signed in."""

import pytest
from django.test import Client as Browser

from tests.builders import (
    a_commission,
    a_joint,
    a_member,
    a_part,
    a_workshop,
    an_assembly,
    extra_work,
)


@pytest.fixture
def workshop(db):
    """The workshop whose pages are opened."""
    return a_workshop()


@pytest.fixture
def signed_in(workshop):
    """A browser signed in under a role of the workshop, or of another one."""

    def sign_in(role="owner", place=None):
        browser = Browser()
        browser.force_login(a_member(place or workshop, role), "shop.services.access.RoleBackend")
        return browser

    return sign_in


@pytest.fixture
def commission(workshop):
    """A table with one frame: two parts, the joint between them, sanding."""
    order = a_commission(workshop, title="Hall table")
    frame = an_assembly(order, name="Frame")
    stile = a_part(frame, mark="P1", name="stile", length_mm=900, width_mm=60, thickness_mm=30)
    rail = a_part(frame, mark="P2", name="rail")
    a_joint(frame, mark="J1", part_a=stile, part_b=rail)
    extra_work(frame)
    return order
