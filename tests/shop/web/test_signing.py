"""Coming in and going out."""

import re

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from shop.models import Membership
from tests.builders import a_member, a_user, a_workshop

pytestmark = pytest.mark.django_db
PASSWORD = "oak and ash"


def sign_in(client: Client, email: str, password: str = PASSWORD):
    return client.post(reverse("sign-in"), {"username": email, "password": password})


def test_the_right_password_leads_home(client):
    user = a_member(a_workshop())
    assert sign_in(client, user.email).headers["Location"] == reverse("home")


def test_a_capital_in_the_address_does_not_matter(client):
    user = a_member(a_workshop())
    assert sign_in(client, user.email.upper()).status_code == 302


def test_a_wrong_password_says_what_to_look_at(client):
    user = a_member(a_workshop())
    page = sign_in(client, user.email, "elm").content.decode()
    assert "do not belong together" in page
    assert user.email in page


def test_after_six_wrong_passwords_the_page_says_how_long_to_wait(client):
    user = a_member(a_workshop())
    for _ in range(6):
        answer = sign_in(client, user.email, "elm")
    assert answer.status_code == 429
    assert "Wait 15 minutes" in answer.content.decode()
    assert sign_in(client, user.email).status_code == 429


def test_the_lock_is_for_one_address_only(client):
    user, other = a_member(a_workshop()), a_member(a_workshop())
    for _ in range(6):
        sign_in(client, user.email, "elm")
    assert sign_in(client, other.email).status_code == 302


def test_going_out_needs_a_post(client):
    client.force_login(a_member(a_workshop()))
    assert client.get(reverse("sign-out")).status_code == 405
    assert client.post(reverse("sign-out")).headers["Location"] == reverse("sign-in")
    assert client.get(reverse("account")).status_code == 302


def test_a_letter_leads_to_a_new_password(client):
    user = a_member(a_workshop())
    client.post(reverse("password-reset"), {"email": user.email})
    letter = mail.outbox[0]
    assert letter.subject == "A new password for Trenail"
    link = re.search(r"http://testserver(/password/\S+)", letter.body)
    assert link
    form = client.get(link[1], follow=True)
    assert "Choose the new password" in form.content.decode()
    new = {"new_password1": "walnut and yew", "new_password2": "walnut and yew"}
    client.post(form.redirect_chain[-1][0], new)
    assert sign_in(client, user.email, "walnut and yew").status_code == 302


def test_an_unknown_address_gets_the_same_answer_and_no_letter(client):
    answer = client.post(reverse("password-reset"), {"email": "nobody@example.test"})
    assert answer.headers["Location"] == reverse("password-reset-sent")
    assert not mail.outbox


def test_a_used_link_says_so(client):
    page = client.get(reverse("password-reset-set", args=["MQ", "set-password"])).content.decode()
    assert "This link no longer works" in page


@pytest.mark.parametrize(
    ("role", "where"), [("hand", "bench"), ("owner", "commissions"), ("foreman", "commissions")]
)
def test_each_role_begins_on_its_own_sheet(client, role, where):
    client.force_login(a_member(a_workshop(), role))
    assert client.get(reverse("home")).headers["Location"] == reverse(where)


def test_who_belongs_to_two_workshops_chooses_one(client):
    user = a_member(a_workshop(name="North"))
    south = a_workshop(name="South")
    Membership.objects.create(workshop=south, user=user, role="foreman")
    client.force_login(user)
    assert client.get(reverse("home")).headers["Location"] == reverse("choose-workshop")
    page = client.get(reverse("choose-workshop")).content.decode()
    assert "North" in page
    assert "South" in page
    client.post(reverse("choose-workshop"), {"workshop": south.pk})
    assert "South" in client.get(reverse("account")).content.decode()


@pytest.mark.parametrize("wanted", ["", "x", "999999"])
def test_nobody_chooses_a_workshop_of_others(client, wanted):
    user = a_member(a_workshop())
    Membership.objects.create(workshop=a_workshop(), user=user, role="hand")
    stranger = a_workshop()
    client.force_login(user)
    for value in (wanted, stranger.pk):
        page = client.post(reverse("choose-workshop"), {"workshop": value})
        assert "Choose one of the workshops in the list." in page.content.decode()


def test_who_belongs_to_no_workshop_learns_whom_to_ask(client):
    user = a_user()
    client.force_login(user)
    page = client.get(reverse("home"), follow=True).content.decode()
    assert "You belong to no workshop yet" in page
