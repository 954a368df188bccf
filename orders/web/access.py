"""Who may open a page: every view declares it, and a test holds every route to it."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Any, cast

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect

if TYPE_CHECKING:
    from shop.models import Membership, User, Workshop

    class WorkshopRequest(HttpRequest):
        """A request made by a member of a workshop."""

        user: User
        workshop: Workshop
        membership: Membership

else:
    WorkshopRequest = HttpRequest


type_of_view = Callable[..., HttpResponseBase]
EVERYBODY = "everybody"
SIGNED_IN = "signed in"


def needs(permission: str, *, zone: str = "") -> Callable[[type_of_view], type_of_view]:
    """Open the view to members who have `permission`; `zone` is the menu place it belongs to.

    `SIGNED_IN` asks only for membership. Nobody is led to the sign-in page; a member without the
    permission gets 403; a person without a workshop is led to choose one.
    """

    def decorate(view: type_of_view) -> type_of_view:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            if getattr(request, "workshop", None) is None:
                return redirect("choose-workshop")
            if permission != SIGNED_IN and not request.user.has_perm(permission):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        return declare(guarded, permission, zone)

    return decorate


def open_to_everybody(view: type_of_view) -> type_of_view:
    """Declare that the view needs no sign-in: the sign-in page itself, health, and the like."""

    @wraps(view)
    def unguarded(*args: Any, **kwargs: Any) -> HttpResponseBase:
        return view(*args, **kwargs)

    return declare(unguarded, EVERYBODY, "")


def declare(view: type_of_view, permission: str, zone: str) -> type_of_view:
    """Write on the view who may open it and in which zone of the menu it lies."""
    marked = cast(Any, view)
    marked.permission = permission
    marked.zone = zone
    return view
