"""Who may use an address of the API: every view declares it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, cast

from rest_framework.permissions import BasePermission
from rest_framework.request import Request

if TYPE_CHECKING:
    from shop.models import Membership, User, Workshop

EVERYBODY = "everybody"
SIGNED_IN = "signed in"


def permission_of(view: Any, method: str) -> str | None:
    """What the view declares for a method: one permission, or a mapping by method."""
    declared: str | Mapping[str, str] | None = getattr(view, "permission", None)
    if isinstance(declared, Mapping):
        return declared.get(method) or declared.get("*")
    return declared


class Declared(BasePermission):
    """Lets in whoever has the permission that the view declares; what is undeclared is shut."""

    message = "Your role in this workshop does not include this."

    def has_permission(self, request: Request, view: Any) -> bool:
        needed = permission_of(view, "GET" if request.method == "HEAD" else request.method or "")
        if request.method == "OPTIONS" or needed == EVERYBODY:
            return needed is not None or getattr(view, "permission", None) is not None
        if needed is None or not request.user.is_authenticated:
            return False
        if getattr(request._request, "workshop", None) is None:
            self.message = "You belong to no workshop, or to several: name one when you sign in."
            return False
        return needed == SIGNED_IN or request.user.has_perm(needed)


def workshop_of(request: Request) -> Workshop:
    """The workshop under which a request is made; `Declared` has seen to it that there is one."""
    return cast("Workshop", cast(Any, request._request).workshop)


def member_of(request: Request) -> Membership:
    """The membership of whoever makes the request."""
    return cast("Membership", cast(Any, request._request).membership)


def person_of(request: Request) -> User:
    """Whoever makes the request."""
    return cast("User", request.user)
