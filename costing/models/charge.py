"""A charge: what was issued to an order, or bought for it, with what it was quoted at."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from costing.core.jobcost import CHARGED
from orders.models import Assembly, Commission
from orders.models.owned import OwnedQuerySet

NOT_BELOW_0 = [MinValueValidator(Decimal(0))]


def kind_choices() -> list[tuple[str, str]]:
    """What can be charged."""
    return [(kind.value, kind.value) for kind in CHARGED]


class Charge(models.Model):
    """A quantity at a price; below 0 it came back. It is never changed, only taken back."""

    workshop_path = "commission__workshop"

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="charges")
    assembly = models.ForeignKey(
        Assembly, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    kind = models.CharField(max_length=12, choices=kind_choices)
    label = models.CharField(max_length=120)
    unit = models.CharField(max_length=12, blank=True)
    quantity = models.DecimalField(max_digits=12, decimal_places=4)
    unit_price = models.DecimalField(max_digits=12, decimal_places=4, validators=NOT_BELOW_0)
    quoted_price = models.DecimalField(
        max_digits=12,
        decimal_places=4,
        validators=NOT_BELOW_0,
        help_text="What the quote reckoned a unit at; the price paid where it did not.",
    )
    on = models.DateField()
    note = models.CharField(max_length=200, blank=True)
    takes_back = models.OneToOneField(
        "self", null=True, editable=False, on_delete=models.CASCADE, related_name="taken_back_by"
    )
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    at = models.DateTimeField(auto_now_add=True)

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-on", "-pk"]
        default_permissions = ()
        permissions = [("see_job_costs", "See what orders cost and earn, and charge them")]
        constraints = [models.CheckConstraint(condition=~Q(quantity=0), name="charge_of_something")]

    def __str__(self) -> str:
        return f"{self.quantity.normalize():f} {self.unit} {self.label}"

    @property
    def amount(self) -> Decimal:
        """What it cost."""
        return self.quantity * self.unit_price
