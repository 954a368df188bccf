"""A pin: the foreman's word that an operation goes to a hand, to a station, or begins at a time."""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from orders.models import Operation
from orders.models.owned import OwnedQuerySet

from .hand import Hand
from .station import Station


class Pin(models.Model):
    """What of an operation's place is fixed; the plan works round it."""

    workshop_path = "operation__commission__workshop"

    operation = models.OneToOneField(Operation, on_delete=models.CASCADE, related_name="pin")
    station = models.ForeignKey(Station, null=True, on_delete=models.CASCADE, related_name="+")
    hand = models.ForeignKey(Hand, null=True, on_delete=models.CASCADE, related_name="+")
    starts_at = models.DateTimeField(null=True)
    changed_at = models.DateTimeField(auto_now=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(
                condition=Q(station__isnull=False)
                | Q(hand__isnull=False)
                | Q(starts_at__isnull=False),
                name="pin_fixes_something",
            )
        ]

    def __str__(self) -> str:
        return f"pin of {self.operation}"
