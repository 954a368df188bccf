"""How a program, or a signed-in page, says who it is."""

from __future__ import annotations

import zoneinfo
from typing import Any

from django.utils import timezone
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework import authentication, exceptions
from rest_framework.request import Request

from shop.models import User
from shop.services.tokens import token_owner


class WorkshopToken(authentication.BaseAuthentication):
    """`Authorization: Bearer TOKEN`; the token names the person and the workshop."""

    keyword = "Bearer"

    def authenticate(self, request: Request) -> tuple[User, Any] | None:
        """The person under the membership that the token was made for."""
        scheme, _, secret = request.headers.get("Authorization", "").partition(" ")
        if scheme.lower() != self.keyword.lower():
            return None
        token = token_owner(secret.strip())
        if token is None:
            raise exceptions.AuthenticationFailed("This token is unknown, revoked or out of date.")
        membership = token.membership
        user = membership.user
        user.membership = membership
        marked: Any = request._request
        marked.membership, marked.workshop = membership, membership.workshop
        timezone.activate(zoneinfo.ZoneInfo(membership.workshop.time_zone))
        return user, token

    def authenticate_header(self, request: Request) -> str:
        """What the 401 answer asks for."""
        return self.keyword


class WorkshopSession(authentication.SessionAuthentication):
    """A page that is signed in; the door has already set the workshop."""


class WorkshopTokenScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    """Describes the token."""

    target_class = "shop.api.authentication.WorkshopToken"
    name = "token"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        """An HTTP bearer token."""
        return {"type": "http", "scheme": "bearer"}


class WorkshopSessionScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    """Describes the session."""

    target_class = "shop.api.authentication.WorkshopSession"
    name = "session"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        """A cookie."""
        return {"type": "apiKey", "in": "cookie", "name": "sessionid"}
