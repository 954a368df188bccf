"""A change of the plan that can be taken back: what was in force and pinned before it, and after."""

from __future__ import annotations

from typing import Any, ClassVar

from django.conf import settings
from django.db import models

from orders.models.owned import OwnedQuerySet

from .plan import Plan


class PlanChange(models.Model):
    """A pin set, moved or taken out, or another plan put in force.

    Pins are kept whole, a mapping each. The numbers of the plans stay when the plans are thrown
    away.
    """

    workshop_path = "workshop"

    workshop = models.ForeignKey("shop.Workshop", on_delete=models.CASCADE, related_name="+")
    said = models.CharField(max_length=240, help_text="What was done, as a sentence says it.")
    before = models.ForeignKey(Plan, null=True, on_delete=models.SET_NULL, related_name="+")
    after = models.ForeignKey(Plan, null=True, on_delete=models.SET_NULL, related_name="+")
    number_before = models.PositiveIntegerField(null=True)
    number_after = models.PositiveIntegerField(null=True)
    pins_before: models.JSONField[list[dict[str, Any]], list[dict[str, Any]]] = models.JSONField(
        default=list
    )
    pins_after: models.JSONField[list[dict[str, Any]], list[dict[str, Any]]] = models.JSONField(
        default=list
    )
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    undone_at = models.DateTimeField(null=True)
    undone_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        default_permissions = ()

    def __str__(self) -> str:
        return self.said

    @property
    def moves_the_plan(self) -> bool:
        """Whether another plan came in force by it."""
        return self.number_before != self.number_after

    @property
    def moves_pins(self) -> bool:
        """Whether pins were set, moved or taken out by it."""
        return self.pins_before != self.pins_after
