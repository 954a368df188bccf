"""How the price of a commission is set: kept beside it, and taken by the next quote."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from costing.core.pricing import PriceBasis
from orders.models import Commission
from orders.models.owned import OwnedQuerySet, Versioned

from .rates import profit_choices
from .what_if import slope_field


def basis_choices() -> list[tuple[str, str]]:
    """What a price may start from."""
    return [
        (PriceBasis.EXPECTED.value, "expected cost and profit"),
        (PriceBasis.P80.value, "P80 of cost and profit"),
        (PriceBasis.HAND.value, "set by hand"),
    ]


class PriceSetting(Versioned):
    """What the price of one commission starts from, until it is set anew; one row or none."""

    workshop_path = "commission__workshop"

    commission = models.OneToOneField(
        Commission, on_delete=models.CASCADE, related_name="price_setting", primary_key=True
    )
    basis = models.CharField(max_length=8, choices=basis_choices, default=PriceBasis.EXPECTED.value)
    net = models.DecimalField(max_digits=19, decimal_places=4, null=True)
    profit_basis = models.CharField(max_length=8, choices=profit_choices, blank=True)
    profit_share = models.DecimalField(max_digits=6, decimal_places=4, null=True)
    times_over = models.PositiveIntegerField(
        default=1, help_text="How often the work is made in one go, which hands learn from."
    )
    learning_slope = slope_field()

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        default_permissions = ()
        constraints = [
            models.CheckConstraint(
                condition=Q(basis="hand", net__isnull=False) | (~Q(basis="hand") & Q(net=None)),
                name="price_by_hand_has_a_price",
            )
        ]

    def __str__(self) -> str:
        return f"{self.commission.mark} {self.get_basis_display()}"
