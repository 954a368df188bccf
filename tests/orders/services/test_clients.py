"""Adding and changing clients."""

import pytest

from orders.core.errors import RuleBroken, RulesBroken, Stale
from orders.services.clients import add_client, change_client
from tests.builders import a_workshop

pytestmark = pytest.mark.django_db


def test_a_client_keeps_what_was_given():
    client = add_client(a_workshop(), name=" Byrne & Daughter ", email="shop@byrne.example")
    assert (client.name, client.email, client.version) == (
        "Byrne & Daughter",
        "shop@byrne.example",
        1,
    )


def test_a_client_needs_a_name():
    with pytest.raises(RuleBroken, match=r"Give the client's name\.") as caught:
        add_client(a_workshop(), name="  ")
    assert caught.value.field == "name"


def test_several_faults_come_at_once():
    with pytest.raises(RulesBroken) as caught:
        add_client(a_workshop(), name="", email="no address", phone="0" * 41)
    assert {fault.field for fault in caught.value.errors} == {"name", "email", "phone"}
    assert "Shorten the phone number to 40 characters; it has 41." in caught.value.message


def test_two_clients_of_a_workshop_may_not_share_a_name():
    workshop = a_workshop()
    add_client(workshop, name="Byrne")
    with pytest.raises(RuleBroken, match="already a client of this name"):
        add_client(workshop, name="Byrne")
    add_client(a_workshop(), name="Byrne")


def test_changing_a_client_makes_the_next_version():
    client = add_client(a_workshop(), name="Byrne", phone="01 555 0100")
    changed = change_client(client, version=1, phone="01 555 0199")
    assert (changed.name, changed.phone, changed.version) == ("Byrne", "01 555 0199", 2)


def test_a_change_of_an_older_version_is_refused():
    client = add_client(a_workshop(), name="Byrne")
    change_client(client, version=1, phone="1")
    with pytest.raises(Stale, match="Somebody changed this while you had it open"):
        change_client(client, version=1, phone="2")


def test_unprintable_characters_are_refused():
    with pytest.raises(RuleBroken, match="Take the unprintable characters out of the address"):
        add_client(a_workshop(), name="Byrne", address="Lane\x00 4")
