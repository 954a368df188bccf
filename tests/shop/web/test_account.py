"""One's own account."""

import re

import pytest
from django.urls import reverse

from shop.models import ApiToken
from shop.services.tokens import make_token, token_owner

pytestmark = pytest.mark.django_db


def test_a_token_is_shown_once_and_works(floor):
    client = floor.as_(floor.estimator)
    client.post(reverse("token-add"), {"name": "spreadsheet"})
    page = client.get(reverse("account"))
    secret = re.search(r"trenail_[\w-]+", page.content.decode())
    assert secret
    assert page.headers["Cache-Control"] == "no-store"
    assert token_owner(secret[0]).membership == floor.estimator.membership
    assert secret[0] not in client.get(reverse("account")).content.decode()


def test_a_token_without_a_name_is_refused_beside_the_field(floor):
    page = floor.as_(floor.owner).post(reverse("token-add"), {"name": ""})
    assert "is-wrong" in page.content.decode()
    assert not ApiToken.objects.exists()


def test_a_last_day_that_has_passed_is_refused(floor):
    page = floor.as_(floor.owner).post(reverse("token-add"), {"name": "x", "until": "2020-01-01"})
    assert "must not have passed" in page.content.decode()


def test_one_revokes_only_ones_own_tokens(floor):
    mine, _ = make_token(floor.owner.membership, "mine")
    theirs, _ = make_token(floor.foreman.membership, "theirs")
    client = floor.as_(floor.owner)
    assert client.post(reverse("token-remove", args=[theirs.pk])).status_code == 404
    assert client.post(reverse("token-remove", args=[mine.pk])).status_code == 302
    assert list(ApiToken.objects.all()) == [theirs]


def test_a_new_password_keeps_this_browser_signed_in(floor):
    client = floor.as_(floor.worker)
    new = {"new_password1": "walnut and yew", "new_password2": "walnut and yew"}
    client.post(reverse("account-password"), {"old_password": "oak and ash", **new})
    assert client.get(reverse("account")).status_code == 200
    floor.worker.refresh_from_db()
    assert floor.worker.check_password("walnut and yew")


def test_a_wrong_old_password_changes_nothing(floor):
    new = {"new_password1": "walnut and yew", "new_password2": "walnut and yew"}
    page = floor.as_(floor.worker).post(reverse("account-password"), {"old_password": "elm", **new})
    assert page.status_code == 200
    floor.worker.refresh_from_db()
    assert floor.worker.check_password("oak and ash")


def test_a_name_is_kept(floor):
    floor.as_(floor.worker).post(reverse("account-name"), {"name": " Rowan Lee "})
    floor.worker.refresh_from_db()
    assert floor.worker.name == "Rowan Lee"
