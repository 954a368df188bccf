"""An assembly: pieces that are made and glued up together, perhaps of smaller assemblies."""

from __future__ import annotations

from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from .commission import Commission
from .owned import Versioned

MOST = 9_999


class Assembly(Versioned):
    """A group of parts and joints of a commission; assemblies stand in a tree."""

    workshop_path = "commission__workshop"

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="assemblies")
    parent = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.CASCADE, related_name="children"
    )
    name = models.CharField(max_length=120)
    quantity = models.PositiveIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(MOST)]
    )
    position = models.PositiveIntegerField(default=0, editable=False)
    pieces: models.JSONField[list[dict[str, Any]], list[dict[str, Any]]] = models.JSONField(
        default=list,
        editable=False,
        help_text="How its pieces stand, if a pattern made it: for its drawing.",
    )

    class Meta:
        ordering = ["position", "pk"]
        default_permissions = ()
        verbose_name_plural = "assemblies"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(quantity__gte=1, quantity__lte=MOST),
                name="assembly_quantity_sane",
                violation_error_message="Give a quantity between 1 and 9,999.",
            )
        ]

    def __str__(self) -> str:
        return self.name
