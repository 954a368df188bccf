"""A pattern of the shop's own: an assembly that was made once, with some sizes set free."""

from __future__ import annotations

from typing import Any

from django.db import models

from .owned import Owned


class OwnPattern(Owned):
    """What was kept, as the core reads it."""

    name = models.CharField(max_length=120)
    note = models.CharField(max_length=200, blank=True)
    content: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField()

    class Meta:
        ordering = ["name", "pk"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "name"],
                name="own_pattern_name_once",
                violation_error_message="There is already a pattern of this name.",
            )
        ]

    def __str__(self) -> str:
        return self.name
