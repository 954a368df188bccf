"""Permissions follow from the role a person has in the workshop they are in."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.backends import ModelBackend

from shop.core.roles import MAY, Role
from shop.models import Membership, User


class RoleBackend(ModelBackend):
    """Signs people in by e-mail address and answers `has_perm` from their current role."""

    def get_all_permissions(self, user_obj: Any, obj: Any = None) -> set[str]:
        """The permissions of the role under which this request is made."""
        membership = getattr(user_obj, "membership", None)
        if obj is not None or membership is None or not user_obj.is_active:
            return set()
        return set(MAY[Role(membership.role)])

    def has_perm(self, user_obj: Any, perm: str, obj: Any = None) -> bool:
        """Whether the role includes `perm`."""
        return perm in self.get_all_permissions(user_obj, obj)

    def has_module_perms(self, user_obj: Any, app_label: str) -> bool:
        """Whether the role may do anything in the package."""
        return any(perm.startswith(app_label + ".") for perm in self.get_all_permissions(user_obj))


def memberships_of(user: User) -> list[Membership]:
    """The workshops a person may enter, by name."""
    return list(
        Membership.objects.filter(user=user, is_active=True)
        .select_related("workshop")
        .order_by("workshop__name", "pk")
    )


def membership_in(user: User, workshop_id: int | None) -> Membership | None:
    """The person's membership of that workshop, or of the only one, or none."""
    places = memberships_of(user)
    for place in places:
        if place.workshop_id == workshop_id:
            return place
    return places[0] if len(places) == 1 else None
