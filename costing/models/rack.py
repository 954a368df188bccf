"""The rack: timber by species and thickness, and the glues on the shelf."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from orders.models.owned import Owned

POSITIVE = [MinValueValidator(Decimal("0.001"))]


class Board(Owned):
    """Sawn boards of one species and thickness, as they can be bought."""

    species = models.CharField(max_length=40)
    grade = models.CharField(max_length=40, blank=True)
    thickness_mm = models.DecimalField(max_digits=9, decimal_places=3, validators=POSITIVE)
    width_mm = models.DecimalField(
        "usual width", max_digits=9, decimal_places=3, validators=POSITIVE, default=Decimal(180)
    )
    length_mm = models.DecimalField(
        "usual length", max_digits=9, decimal_places=3, validators=POSITIVE, default=Decimal(2400)
    )
    price_per_m3 = models.DecimalField(
        max_digits=10, decimal_places=2, validators=[MinValueValidator(Decimal(0))]
    )
    waste_share = models.DecimalField(
        "waste as a share of gross",
        max_digits=5,
        decimal_places=4,
        default=Decimal("0.25"),
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal("0.95"))],
        help_text="0.25 means that a quarter of what is bought is not used.",
    )
    allowance_length_mm = models.DecimalField(
        "allowance on length",
        max_digits=6,
        decimal_places=3,
        default=Decimal(25),
        validators=[MinValueValidator(Decimal(0))],
    )
    allowance_width_mm = models.DecimalField(
        "allowance on width",
        max_digits=6,
        decimal_places=3,
        default=Decimal(6),
        validators=[MinValueValidator(Decimal(0))],
    )
    allowance_thickness_mm = models.DecimalField(
        "allowance on thickness",
        max_digits=6,
        decimal_places=3,
        default=Decimal(4),
        validators=[MinValueValidator(Decimal(0))],
    )
    source = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["species", "thickness_mm", "pk"]
        default_permissions = ()
        permissions = [
            ("see_rack", "See the rack"),
            ("edit_rack", "Change boards, glues and their prices"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "species", "grade", "thickness_mm"],
                name="board_once",
                violation_error_message=(
                    "The rack already has boards of this species, grade and thickness."
                ),
            )
        ]

    def __str__(self) -> str:
        return f"{self.species} {self.thickness_mm.normalize():f} mm"


class Glue(Owned):
    """A glue on the shelf, with its maker's figures."""

    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=40)
    durability_class = models.CharField(
        max_length=2, choices=[(name, name) for name in ("D1", "D2", "D3", "D4")]
    )
    open_min = models.FloatField("open time, minutes", validators=[MinValueValidator(0.5)])
    clamp_min = models.FloatField("clamp time, minutes", validators=[MinValueValidator(1)])
    spread_g_per_m2 = models.FloatField(validators=[MinValueValidator(1)])
    price_per_kg = models.DecimalField(
        max_digits=8, decimal_places=2, validators=[MinValueValidator(Decimal(0))]
    )
    source = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["durability_class", "name"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "name"],
                name="glue_name_once",
                violation_error_message="There is already a glue of this name.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.durability_class})"
