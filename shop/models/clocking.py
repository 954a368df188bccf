"""A clocking: one stretch of time booked by a hand on an operation."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from orders.models import Operation
from orders.models.owned import OwnedQuerySet, Versioned
from shop.core.minding import Attention, Share

from .hand import Hand
from .station import Station


class ClockingQuerySet(OwnedQuerySet):
    """Named questions about clockings."""

    def running(self) -> ClockingQuerySet:
        """Not yet ended."""
        return self.filter(ended_at__isnull=True)


class Clocking(Versioned):
    """Minutes of one hand on one operation, with the pieces finished in them.

    `attention` and `area` say what the work took of its hand, as the workshop stood when it was
    begun: a hand may mind one running machine and do light work in the same area.
    """

    workshop_path = "operation__commission__workshop"

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="clockings")
    hand = models.ForeignKey(Hand, on_delete=models.PROTECT, related_name="clockings")
    station = models.ForeignKey(
        Station, null=True, blank=True, on_delete=models.SET_NULL, related_name="clockings"
    )
    key = models.UUIDField(
        default=uuid.uuid4, unique=True, editable=False, help_text="Made where it was pressed."
    )
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    pieces = models.PositiveIntegerField(default=0)
    attention = models.CharField(
        max_length=6,
        choices=[(each.value, each.value) for each in Attention],
        default=Attention.WHOLE.value,
        editable=False,
    )
    area = models.CharField(max_length=40, blank=True, editable=False)
    is_invented = models.BooleanField(default=False, editable=False)

    objects: ClassVar = ClockingQuerySet.as_manager()

    class Meta:
        ordering = ["-started_at", "-pk"]
        default_permissions = ()
        permissions = [
            ("clock", "Start, pause and finish operations"),
            ("see_own_day", "See one's own day sheet"),
            ("see_clockings", "See the time book"),
            ("correct_clockings", "Correct a clocking"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=F("started_at")),
                name="clocking_ends_after_start",
                violation_error_message="The end must be later than the start.",
            ),
            models.UniqueConstraint(
                fields=["hand"],
                condition=Q(ended_at__isnull=True) & ~Q(attention=Attention.MINDED.value),
                name="clocking_one_running",
            ),
            models.UniqueConstraint(
                fields=["hand"],
                condition=Q(ended_at__isnull=True, attention=Attention.MINDED.value),
                name="clocking_one_minded",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.hand} on {self.operation}"

    @property
    def share(self) -> Share:
        """What it takes of its hand."""
        return Share(Attention(self.attention), self.area)

    @property
    def minutes(self) -> float | None:
        """Minutes taken, or None while it runs."""
        if self.ended_at is None:
            return None
        return (self.ended_at - self.started_at).total_seconds() / 60


class ClockingCorrection(models.Model):
    """A change to a clocking, with its reason and what it said before."""

    clocking = models.ForeignKey(Clocking, on_delete=models.CASCADE, related_name="corrections")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    at = models.DateTimeField()
    reason = models.CharField(max_length=200)
    old_started_at = models.DateTimeField()
    old_ended_at = models.DateTimeField(null=True)
    old_pieces = models.PositiveIntegerField()

    class Meta:
        ordering = ["at", "pk"]
        default_permissions = ()

    def __str__(self) -> str:
        return self.reason
