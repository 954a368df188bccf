"""A day sheet as it was issued: numbered, so that everybody knows which paper counts."""

from __future__ import annotations

from typing import Any, ClassVar

from django.conf import settings
from django.db import models

from orders.models.owned import OwnedQuerySet

from .hand import Hand


class DayIssue(models.Model):
    """What a hand was told to do on a day; the highest number counts."""

    workshop_path = "hand__workshop"

    hand = models.ForeignKey(Hand, on_delete=models.CASCADE, related_name="day_issues")
    on = models.DateField()
    number = models.PositiveSmallIntegerField()
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    content: models.JSONField[list[dict[str, Any]], list[dict[str, Any]]] = models.JSONField(
        help_text="The work in order: operation, what it is called, where, from when to when."
    )

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-on", "hand", "-number"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["hand", "on", "number"], name="day_issue_once")
        ]

    def __str__(self) -> str:
        return f"{self.hand}, {self.on}, no. {self.number}"
