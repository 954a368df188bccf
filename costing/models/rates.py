"""The rate book, in editions: what an hour and a machine cost, and what is added."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from costing.core.rates import OverheadBasis, ProfitBasis
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


def overhead_choices() -> list[tuple[str, str]]:
    """What overhead may be charged on."""
    return [
        (OverheadBasis.LABOUR_HOUR.value, "hours of labour"),
        (OverheadBasis.MACHINE_HOUR.value, "hours of machines"),
        (OverheadBasis.LABOUR_COST.value, "cost of labour"),
        (OverheadBasis.DEPARTMENT.value, "hours of each department"),
    ]


def money_field(name: str = "", **more: Any) -> models.DecimalField[Any, Any]:
    """An amount of 0 or more, to a thousandth."""
    return models.DecimalField(
        name or None,
        max_digits=12,
        decimal_places=3,
        validators=[MinValueValidator(Decimal(0))],
        **more,
    )


def profit_choices() -> list[tuple[str, str]]:
    """How profit is reckoned; never confused."""
    return [
        (ProfitBasis.MARGIN.value, "a margin: a share of the price"),
        (ProfitBasis.MARKUP.value, "a markup: a share of the cost"),
    ]


class RateEdition(models.Model):
    """One edition of the rate book; a change makes a new one."""

    workshop_path = "workshop"

    workshop = models.ForeignKey("shop.Workshop", on_delete=models.CASCADE, related_name="+")
    number = models.PositiveIntegerField()
    valid_from = models.DateField()
    overhead_basis = models.CharField(
        "overhead is charged on", max_length=16, choices=overhead_choices, default="labour-hour"
    )
    overhead_rate = models.DecimalField(
        "overhead",
        max_digits=9,
        decimal_places=4,
        default=Decimal(0),
        validators=[MinValueValidator(Decimal(0))],
        help_text="Money per hour, or a share of labour cost (0.5 is 50 %).",
    )
    materials_handling = share_field("handling on materials", "0")
    outwork_handling = share_field("handling on outwork", "0")
    delivery_handling = share_field("handling on delivery", "0")
    tariff_per_kwh = models.DecimalField(
        "a kilowatt-hour costs",
        max_digits=9,
        decimal_places=4,
        default=Decimal(0),
        validators=[MinValueValidator(Decimal(0))],
    )
    rent_per_m2 = money_field("a square metre costs a year", default=Decimal(0))
    contingency = share_field("contingency", "0")
    profit_basis = models.CharField(
        "profit is", max_length=8, choices=profit_choices, default="margin"
    )
    profit_share = share_field("profit", "0.15")
    tax_rate = models.DecimalField(
        "tax, per cent",
        max_digits=5,
        decimal_places=2,
        default=Decimal(0),
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(100))],
    )
    tax_name = models.CharField(max_length=20, default="VAT")
    rounding = models.DecimalField(
        "round offered prices to",
        max_digits=8,
        decimal_places=3,
        default=Decimal(0),
        validators=[MinValueValidator(Decimal(0))],
        help_text="A step such as 5; 0 does not round.",
    )
    note = models.CharField(max_length=200, blank=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    made_at = models.DateTimeField(auto_now_add=True)

    objects: ClassVar = OwnedQuerySet.as_manager()

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
                condition=~Q(profit_basis="margin") | Q(profit_share__lt=1),
                name="margin_below_all",
                violation_error_message="A margin is a share of the price; it must be below 100 %.",
            ),
        ]

    def __str__(self) -> str:
        return f"rate book, edition {self.number}"


class LabourRate(models.Model):
    """What an hour of a skill costs, and the overhead it bears where that is by department."""

    edition = models.ForeignKey(RateEdition, on_delete=models.CASCADE, related_name="labour")
    skill = models.CharField(max_length=20)
    per_hour = money_field()
    overhead_per_hour = money_field(null=True)

    class Meta:
        ordering = ["skill"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["edition", "skill"], name="labour_rate_once")
        ]

    def __str__(self) -> str:
        return f"{self.skill} {self.per_hour}"


class HandRate(models.Model):
    """What an hour of one hand costs: pay and all that is paid on it."""

    edition = models.ForeignKey(RateEdition, on_delete=models.CASCADE, related_name="hands")
    hand = models.ForeignKey("shop.Hand", on_delete=models.PROTECT, related_name="+")
    per_hour = money_field()

    class Meta:
        ordering = ["hand__name", "pk"]
        default_permissions = ()
        constraints = [models.UniqueConstraint(fields=["edition", "hand"], name="hand_rate_once")]

    def __str__(self) -> str:
        return f"{self.hand} {self.per_hour}"


class MachineRate(models.Model):
    """What an hour of a kind of station costs, beside the hand who works it."""

    edition = models.ForeignKey(RateEdition, on_delete=models.CASCADE, related_name="machines")
    station_kind = models.CharField(max_length=20)
    per_hour = money_field()

    class Meta:
        ordering = ["station_kind"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["edition", "station_kind"], name="machine_rate_once")
        ]

    def __str__(self) -> str:
        return f"{self.station_kind} {self.per_hour}"


class MachineBuildUp(models.Model):
    """What the hourly rate of a machine adds up from; tariff and rent stand in the edition."""

    rate = models.OneToOneField(MachineRate, on_delete=models.CASCADE, related_name="build_up")
    purchase = money_field()
    residual = money_field(default=Decimal(0))
    life_h = money_field("hours of life")
    hours_run = money_field("hours run in a year")
    interest = money_field("interest in a year", default=Decimal(0))
    upkeep = money_field("upkeep in a year", default=Decimal(0))
    insurance = money_field("insurance in a year", default=Decimal(0))
    floor_m2 = money_field("floor space, m²", default=Decimal(0))
    power_kw = money_field("power, kW", default=Decimal(0))
    load = share_field("share of the power that is drawn", "1")

    class Meta:
        default_permissions = ()

    def __str__(self) -> str:
        return f"build-up of {self.rate}"


class TaxStep(models.Model):
    """A rate of tax that holds from a day on, known before its day comes."""

    edition = models.ForeignKey(RateEdition, on_delete=models.CASCADE, related_name="tax_steps")
    valid_from = models.DateField()
    rate = models.DecimalField(
        "tax, per cent",
        max_digits=5,
        decimal_places=2,
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(100))],
    )

    class Meta:
        ordering = ["valid_from"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["edition", "valid_from"], name="tax_step_once")
        ]

    def __str__(self) -> str:
        return f"{self.rate} % from {self.valid_from}"
