"""What a commission costs beside timber, glue and time: finish, outwork, delivery, sundries."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from costing.core.breakdown import MOST_SPREAD, ExtraKind
from orders.models import Assembly, Commission
from orders.models.owned import OwnedQuerySet, Versioned


def extra_choices() -> list[tuple[str, str]]:
    """What an extra cost may be for."""
    return [(kind.value, kind.value) for kind in ExtraKind]


class ExtraCost(Versioned):
    """One line: so many units at a price, for each of an assembly or for the whole commission."""

    workshop_path = "commission__workshop"

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="extra_costs")
    assembly = models.ForeignKey(
        Assembly, null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    kind = models.CharField(max_length=12, choices=extra_choices)
    label = models.CharField(max_length=120)
    quantity = models.DecimalField(
        max_digits=12,
        decimal_places=4,
        default=Decimal(1),
        validators=[MinValueValidator(Decimal(0))],
    )
    unit = models.CharField(max_length=12, blank=True)
    unit_price = models.DecimalField(
        max_digits=12,
        decimal_places=4,
        help_text="Below zero it is a credit.",
    )
    spread = models.FloatField(
        default=0.0,
        validators=[MinValueValidator(0.0), MaxValueValidator(MOST_SPREAD)],
        help_text="How unsure the price is: 0 for a fixed one, 0.2 for about a fifth either way.",
    )

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        default_permissions = ()

    def __str__(self) -> str:
        return self.label
