"""What-ifs: named alternatives to a commission as it stands, kept until one is adopted."""

from __future__ import annotations

from typing import Any, ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from costing.core.learning import LOWEST_SLOPE
from costing.core.quantity import LEARNING_SLOPE
from orders.models import Commission
from orders.models.owned import OwnedQuerySet, Versioned


def slope_field() -> models.FloatField[float, float]:
    """How much each doubling leaves of the time."""
    return models.FloatField(
        default=LEARNING_SLOPE,
        validators=[MinValueValidator(LOWEST_SLOPE), MaxValueValidator(1.0)],
    )


class WhatIf(Versioned):
    """One alternative: what is supposed to be otherwise, under a name."""

    workshop_path = "commission__workshop"

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="what_ifs")
    name = models.CharField(max_length=60)
    supposed: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField()
    learning_slope = slope_field()
    finish: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(
        default=dict, help_text="Another finish and what it costs; empty where it stays."
    )

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["commission", "name"], name="what_if_name_once")
        ]

    def __str__(self) -> str:
        return f"{self.commission.mark} {self.name}"
