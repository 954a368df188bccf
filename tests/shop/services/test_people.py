"""Who belongs to a workshop, as what, and through which programs."""

from datetime import timedelta

import pytest
from django.contrib.auth.tokens import default_token_generator
from django.utils import timezone
from django.utils.http import urlsafe_base64_decode

from orders.core.errors import NotNow, RuleBroken, Stale
from orders.models import StandardEdition
from shop.models import ApiToken, Membership, User
from shop.services.people import change_role, invite, leave
from shop.services.tokens import end_token, make_token, token_owner
from shop.services.workshops import change_workshop, found_workshop
from tests.builders import a_member, a_user, a_workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def workshop():
    return a_workshop(name="Bray Joinery")


@pytest.fixture
def owner(workshop):
    return a_member(workshop, "owner", name="Ann")


def link(uid: str, token: str) -> str:
    return f"https://shop.test/{uid}/{token}/"


def bring(workshop, **more) -> Membership:
    said = {"by": None, "email": "Tom@Example.test", "name": "Tom", "role": "hand", "link": link}
    return invite(workshop, **{**said, **more})


def test_an_invited_person_is_made_known_and_mailed(
    workshop, owner, mailoutbox, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        membership = bring(workshop, by=owner)
    (mail,) = mailoutbox
    uid, token = mail.body.split("https://shop.test/")[1].split("/")[:2]
    assert (membership.role, membership.user.email) == ("hand", "tom@example.test")
    assert (mail.to, mail.subject) == (["tom@example.test"], "Your place in Bray Joinery")
    assert "Ann has invited you" in mail.body
    assert urlsafe_base64_decode(uid).decode() == str(membership.user.pk)
    assert default_token_generator.check_token(membership.user, token)
    assert not membership.user.has_usable_password()


def test_a_known_person_gets_a_second_workshop(workshop):
    person = a_user(email="tom@example.test")
    bring(a_workshop())
    assert bring(workshop).user == person
    assert User.objects.filter(email="tom@example.test").count() == 1


def test_an_invited_member_is_refused(workshop):
    bring(workshop)
    with pytest.raises(NotNow, match="Tom already belongs to Bray Joinery"):
        bring(workshop)


def test_somebody_who_left_may_come_back(workshop, owner):
    leave(bring(workshop))
    assert bring(workshop, role="foreman").is_active
    assert Membership.objects.get(user__email="tom@example.test").role == "foreman"


def test_a_bad_address_and_a_bad_role_are_refused(workshop):
    with pytest.raises(RuleBroken, match="Write an e-mail address"):
        bring(workshop, email="tom")
    with pytest.raises(RuleBroken, match="A role is one of owner, estimator, foreman, hand"):
        bring(workshop, role="king")
    assert not User.objects.filter(email="tom@example.test").exists()


def test_a_role_is_changed(workshop, owner):
    hand = a_member(workshop, "hand").membership
    assert change_role(hand, "foreman", version=1).role == "foreman"
    with pytest.raises(Stale):
        change_role(hand, "owner", version=1)


def test_the_last_owner_cannot_step_down_or_leave(workshop, owner):
    with pytest.raises(NotNow, match="Ann is the only owner of Bray Joinery"):
        change_role(owner.membership, "hand")
    with pytest.raises(NotNow, match="Ann is the only owner"):
        leave(owner.membership)
    a_member(workshop, "owner")
    assert change_role(owner.membership, "hand").role == "hand"


def test_an_owner_who_left_does_not_count(workshop, owner):
    leave(a_member(workshop, "owner").membership)
    with pytest.raises(NotNow, match="the only owner"):
        leave(owner.membership)


def test_who_leaves_takes_their_tokens_along(workshop, owner):
    member = a_member(workshop, "estimator").membership
    _, secret = make_token(member, "spreadsheet")
    leave(member)
    assert token_owner(secret) is None
    assert not ApiToken.objects.exists()


def test_a_token_speaks_for_its_member_and_only_its_hash_is_kept(workshop, owner):
    token, secret = make_token(owner.membership, "spreadsheet")
    found = token_owner(secret)
    assert (found, found.membership) == (token, owner.membership)
    assert secret not in str(ApiToken.objects.values().get())
    assert ApiToken.objects.get().used_at is not None


def test_a_token_that_is_wrong_ended_or_taken_back_is_nobodys(workshop, owner):
    token, secret = make_token(
        owner.membership, "short", ends_at=timezone.now() + timedelta(minutes=1)
    )
    assert token_owner(secret + "x") is None
    assert token_owner("") is None
    ApiToken.objects.update(ends_at=timezone.now() - timedelta(seconds=1))
    assert token_owner(secret) is None
    ApiToken.objects.update(ends_at=None)
    end_token(token)
    assert token_owner(secret) is None


def test_a_token_needs_a_name_and_an_end_that_is_to_come(owner):
    with pytest.raises(RuleBroken, match="Name the program"):
        make_token(owner.membership, " ")
    with pytest.raises(RuleBroken, match="end in the future"):
        make_token(owner.membership, "old", ends_at=timezone.now())


def test_a_founded_workshop_can_be_used_at_once():
    person = a_user()
    workshop = found_workshop("Oak & Ash", person, currency="GBP", time_zone="Europe/London")
    assert Membership.objects.of(workshop).get().role == "owner"
    assert StandardEdition.objects.of(workshop).get().number == 1
    openings = workshop_week(workshop)
    assert sum((b.hour - a.hour) * 60 + b.minute - a.minute for a, b in openings) == 40 * 60


def workshop_week(workshop):
    from shop.models import Opening

    return Opening.objects.filter(calendar__workshop=workshop).values_list("starts", "ends")


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"currency": "XXQ"}, "by its three letters"),
        ({"time_zone": "Mars/Olympus"}, "is not a time zone"),
        ({"unit": "cubit"}, "not a valid choice"),
        ({"name": " "}, "Give the workshop a name"),
    ],
)
def test_settings_that_cannot_be_are_refused(workshop, change, sentence):
    with pytest.raises(RuleBroken, match=sentence) as caught:
        change_workshop(workshop, **change)
    assert caught.value.field == next(iter(change))
