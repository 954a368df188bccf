"""Puts the current workshop and membership on every request."""

from __future__ import annotations

import zoneinfo
from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponseBase
from django.utils import timezone

from shop.models import User
from shop.services.access import membership_in

SESSION_KEY = "workshop"


class CurrentWorkshop:
    """Sets `request.workshop` and `request.membership`, and the workshop's own time zone."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        marked: Any = request
        marked.workshop = marked.membership = None
        user = request.user
        if isinstance(user, User) and user.is_authenticated:
            enter(request, user)
        try:
            return self.get_response(request)
        finally:
            timezone.deactivate()


def enter(request: Any, user: User) -> None:
    """Let the person in under their membership, if they have one."""
    membership = membership_in(user, request.session.get(SESSION_KEY))
    user.membership = membership
    request.membership = membership
    request.workshop = membership.workshop if membership else None
    if membership:
        timezone.activate(zoneinfo.ZoneInfo(membership.workshop.time_zone))
