"""A token with which a program signs in as a member of a workshop."""

from __future__ import annotations

from django.db import models

from orders.models.owned import OwnedQuerySet

from .workshop import Membership


class ApiToken(models.Model):
    """Only the hash of a token is kept."""

    workshop_path = "membership__workshop"

    membership = models.ForeignKey(Membership, on_delete=models.CASCADE, related_name="tokens")
    name = models.CharField(max_length=80)
    sha256 = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField(auto_now_add=True)
    used_at = models.DateTimeField(null=True, blank=True)
    ends_at = models.DateTimeField(null=True, blank=True)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at"]
        default_permissions = ()

    def __str__(self) -> str:
        return self.name
