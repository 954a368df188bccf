"""A calendar feed: the work of a hand or a station, for the calendar of a telephone."""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from orders.models.owned import OwnedQuerySet

from .hand import Hand
from .station import Station


class Feed(models.Model):
    """An address that a calendar reads; only the hash of its secret is kept."""

    workshop_path = "workshop"

    workshop = models.ForeignKey("shop.Workshop", on_delete=models.CASCADE, related_name="+")
    hand = models.OneToOneField(Hand, null=True, on_delete=models.CASCADE, related_name="feed")
    station = models.OneToOneField(
        Station, null=True, on_delete=models.CASCADE, related_name="feed"
    )
    sha256 = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    read_at = models.DateTimeField(null=True, help_text="When a calendar last read it.")

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(
                condition=Q(hand__isnull=True) ^ Q(station__isnull=True),
                name="feed_of_a_hand_or_a_station",
            )
        ]

    def __str__(self) -> str:
        return f"feed of {self.hand or self.station}"
