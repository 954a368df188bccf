"""Tokens with which programs sign in; only their hash is kept."""

from __future__ import annotations

import hmac
import secrets
from datetime import datetime, timedelta
from hashlib import sha256

from django.db import transaction
from django.utils import timezone

from orders.core.errors import RuleBroken
from shop.models import ApiToken, Membership

MARK = "trenail_"
USED_EVERY = timedelta(minutes=5)


@transaction.atomic
def make_token(
    membership: Membership, name: str, *, ends_at: datetime | None = None
) -> tuple[ApiToken, str]:
    """A token and its secret, which is shown this once.

    Raises RuleBroken without a name, or for an end that has passed.
    """
    if not name.strip():
        raise RuleBroken("name", "Name the program that will use the token.")
    if ends_at is not None and ends_at <= timezone.now():
        raise RuleBroken("ends_at", "The token must end in the future.")
    secret = MARK + secrets.token_urlsafe(32)
    token = ApiToken.objects.create(
        membership=membership, name=name.strip()[:80], sha256=hash_of(secret), ends_at=ends_at
    )
    return token, secret


def token_owner(secret: str) -> ApiToken | None:
    """The token, with the member it speaks for; None for one that is unknown or has ended."""
    wanted = hash_of(secret)
    now = timezone.now()
    token: ApiToken | None = (
        ApiToken.objects.select_related("membership__user", "membership__workshop")
        .filter(sha256=wanted, membership__is_active=True, membership__user__is_active=True)
        .first()
    )
    if token is None or not hmac.compare_digest(token.sha256, wanted):
        return None
    if token.ends_at is not None and token.ends_at <= now:
        return None
    if token.used_at is None or now - token.used_at > USED_EVERY:
        ApiToken.objects.filter(pk=token.pk).update(used_at=now)
    return token


def end_token(token: ApiToken) -> None:
    """Shut a program out at once."""
    token.delete()


def hash_of(secret: str) -> str:
    """What is kept of a secret; it is random and long, so that a plain hash will do."""
    return sha256(secret.encode()).hexdigest()
