"""People: who belongs to a workshop, and as what."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.contrib.auth.tokens import default_token_generator
from django.core.exceptions import ValidationError
from django.core.mail import send_mail
from django.core.validators import validate_email
from django.db import transaction
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from orders.core.errors import NotNow, RuleBroken
from shop.core.roles import Role
from shop.models import Membership, User, Workshop

Link = Callable[[str, str], str]
"""Makes the address at which a password is set, from the person's id and a token."""


@transaction.atomic
def invite(
    workshop: Workshop, *, by: User | None, email: str, name: str, role: str, link: Link
) -> Membership:
    """Let a person in, making them known if they are not, and mail them how to sign in.

    Raises RuleBroken for a bad address or role, NotNow if they already belong to the workshop.
    """
    email = _address(email)
    user = User.objects.filter(email=email).first()
    if user is None:
        user = User.objects.create_user(email, name=name.strip())
    membership: Membership | None = Membership.objects.of(workshop).filter(user=user).first()
    if membership is not None and membership.is_active:
        raise NotNow(f"{user} already belongs to {workshop}. Change the role instead.")
    if membership is None:
        membership = Membership(workshop=workshop, user=user)
    membership.role, membership.is_active = _role(role), True
    membership.save()
    transaction.on_commit(lambda: _send_invitation(user, workshop, by, link))
    return membership


@transaction.atomic
def change_role(membership: Membership, role: str, *, version: int | None = None) -> Membership:
    """Give a person another role.

    Raises RuleBroken for an unknown role, NotNow if the workshop would have no owner left, Stale
    if somebody else changed it meanwhile.
    """
    membership = _locked(membership)
    membership.require_version(version)
    new = _role(role)
    if new != Role.OWNER:
        _require_another_owner(membership)
    membership.role = new
    membership.save_next()
    return membership


@transaction.atomic
def leave(membership: Membership, *, version: int | None = None) -> Membership:
    """Shut a person out of the workshop, with their tokens; what they did stays.

    Raises NotNow if the workshop would have no owner left, Stale if somebody else changed it
    meanwhile.
    """
    membership = _locked(membership)
    membership.require_version(version)
    _require_another_owner(membership)
    membership.is_active = False
    membership.save_next()
    membership.tokens.all().delete()
    return membership


def _locked(membership: Membership) -> Membership:
    """The row as it is now; the workshop is locked, so that two owners cannot leave at once."""
    Workshop.objects.select_for_update().get(pk=membership.workshop_id)
    found: Membership = Membership.objects.select_related("workshop", "user").get(pk=membership.pk)
    return found


def _require_another_owner(membership: Membership) -> None:
    if membership.role != Role.OWNER or not membership.is_active:
        return
    owners = Membership.objects.of(membership.workshop).filter(role=Role.OWNER, is_active=True)
    if not owners.exclude(pk=membership.pk).exists():
        raise NotNow(
            f"{membership.user} is the only owner of {membership.workshop}. Make somebody else an"
            " owner first."
        )


def _role(role: str) -> Role:
    if role not in set(Role):
        raise RuleBroken("role", f"A role is one of {', '.join(Role)}.")
    return Role(role)


def _address(email: str) -> str:
    email = email.strip().lower()
    try:
        validate_email(email)
    except ValidationError:
        raise RuleBroken("email", "Write an e-mail address, as ann@example.com.") from None
    return email


def _send_invitation(user: User, workshop: Workshop, by: User | None, link: Link) -> None:
    token = default_token_generator.make_token(user)
    address = link(urlsafe_base64_encode(force_bytes(user.pk)), token)
    inviter = f"{by} has invited you" if by else "You have been invited"
    known = user.has_usable_password()
    how = (
        "Sign in as you usually do. If you have forgotten your password, set a new one here:"
        if known
        else "Choose a password here, then sign in with this address:"
    )
    send_mail(
        f"Your place in {workshop}",
        f"{inviter} to {workshop}.\n\n{how}\n\n{address}\n",
        settings.DEFAULT_FROM_EMAIL,
        [user.email],
    )
