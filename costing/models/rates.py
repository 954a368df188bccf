"""The rate book, in editions: what an hour and a machine cost, and what is added."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from orders.models.owned import OwnedQuerySet


def share_field(name: str, default: str) -> models.DecimalField[Decimal, Decimal]:
    """A share: 0.22 is 22 per cent."""
    return models.DecimalField(
        name,
        max_digits=6,
        decimal_places=4,
        default=Decimal(default),
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal("9.9999"))],
    )


class RateEdition(models.Model):
    """One edition of the rate book; a change makes a new one."""

    workshop_path = "workshop"

    class Profit(models.TextChoices):
        """How profit is reckoned; never confused."""

        MARGIN = "margin", "margin: a share of the price"
        MARKUP = "markup", "markup: a share of the cost"

    workshop = models.ForeignKey("shop.Workshop", on_delete=models.CASCADE, related_name="+")
    number = models.PositiveIntegerField()
    valid_from = models.DateField()
    overhead_per_hour = models.DecimalField(
        "overhead per labour hour",
        max_digits=9,
        decimal_places=2,
        default=Decimal(0),
        validators=[MinValueValidator(Decimal(0))],
    )
    overhead_share = share_field("overhead as a share of labour", "0")
    handling_share = share_field("handling on materials", "0")
    contingency_share = share_field("contingency", "0")
    profit_kind = models.CharField(max_length=8, choices=Profit.choices, default=Profit.MARGIN)
    profit_share = share_field("profit", "0.15")
    tax_share = share_field("tax", "0")
    tax_name = models.CharField(max_length=20, default="VAT")
    note = models.CharField(max_length=200, blank=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    made_at = models.DateTimeField(auto_now_add=True)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-number"]
        default_permissions = ()
        permissions = [
            ("see_rates", "See the rate book"),
            ("edit_rates", "Make a new edition of the rate book"),
            ("see_estimates", "See estimates, costs and margins"),
            ("see_labour", "See labour per joint type"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["workshop", "number"], name="rate_edition_once"),
            models.CheckConstraint(
                condition=~Q(profit_kind="margin") | Q(profit_share__lt=1),
                name="margin_below_all",
                violation_error_message="A margin is a share of the price; it must be below 100 %.",
            ),
        ]

    def __str__(self) -> str:
        return f"rate book, edition {self.number}"


class LabourRate(models.Model):
    """What an hour of a skill costs."""

    edition = models.ForeignKey(RateEdition, on_delete=models.CASCADE, related_name="labour")
    skill = models.CharField(max_length=20)
    per_hour = models.DecimalField(
        max_digits=9, decimal_places=2, validators=[MinValueValidator(Decimal(0))]
    )

    class Meta:
        ordering = ["skill"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["edition", "skill"], name="labour_rate_once")
        ]

    def __str__(self) -> str:
        return f"{self.skill} {self.per_hour}"


class MachineRate(models.Model):
    """What an hour of a kind of station costs, beside the hand who works it."""

    edition = models.ForeignKey(RateEdition, on_delete=models.CASCADE, related_name="machines")
    station_kind = models.CharField(max_length=20)
    per_hour = models.DecimalField(
        max_digits=9, decimal_places=2, validators=[MinValueValidator(Decimal(0))]
    )

    class Meta:
        ordering = ["station_kind"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["edition", "station_kind"], name="machine_rate_once")
        ]

    def __str__(self) -> str:
        return f"{self.station_kind} {self.per_hour}"
