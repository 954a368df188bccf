"""The rack: timber by species and thickness, and the glues on the shelf."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from orders.models.owned import Owned


def waste_field(**more: Any) -> models.DecimalField[Any, Any]:
    """Waste as a share of what is bought: 0.25 means that a quarter of it is not used."""
    return models.DecimalField(
        "waste as a share of gross",
        max_digits=5,
        decimal_places=4,
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal("0.95"))],
        help_text="0.25 means that a quarter of what is bought is not used.",
        **more,
    )


POSITIVE = [MinValueValidator(Decimal("0.001"))]
NOT_LESS = [MinValueValidator(Decimal(0))]


class Board(Owned):
    """Sawn boards of one species and thickness, as they can be bought."""

    species = models.CharField(max_length=40)
    grade = models.CharField(max_length=40, blank=True)
    thickness_mm = models.DecimalField(max_digits=9, decimal_places=3, validators=POSITIVE)
    price_per_m3 = models.DecimalField(
        max_digits=10, decimal_places=2, validators=[MinValueValidator(Decimal(0))]
    )
    waste_share_of_gross = waste_field(null=True, blank=True)
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


class Sheet(Owned):
    """Sheet material of one kind and thickness, priced by its gross area."""

    species = models.CharField("material", max_length=40)
    thickness_mm = models.DecimalField(max_digits=9, decimal_places=3, validators=POSITIVE)
    price_per_m2 = models.DecimalField(
        max_digits=10, decimal_places=2, validators=[MinValueValidator(Decimal(0))]
    )
    waste_share_of_gross = waste_field(null=True, blank=True)
    source = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["species", "thickness_mm", "pk"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "species", "thickness_mm"],
                name="sheet_once",
                violation_error_message="The rack already has sheets of this kind and thickness.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.species} {self.thickness_mm.normalize():f} mm"


class TimberAllowance(Owned):
    """What is added to a finished size to get the rough size, for one species or for all."""

    species = models.CharField(
        max_length=40, blank=True, help_text="Leave empty for every species without its own."
    )
    length_mm = models.DecimalField(
        "on length", max_digits=6, decimal_places=3, default=Decimal(25), validators=NOT_LESS
    )
    width_mm = models.DecimalField(
        "on width", max_digits=6, decimal_places=3, default=Decimal(6), validators=NOT_LESS
    )
    thickness_mm = models.DecimalField(
        "on thickness", max_digits=6, decimal_places=3, default=Decimal(4), validators=NOT_LESS
    )
    waste_share_of_gross = waste_field(default=Decimal("0.25"))

    class Meta:
        ordering = ["species"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "species"],
                name="allowance_once",
                violation_error_message="This species already has its allowance.",
            )
        ]

    def __str__(self) -> str:
        return self.species or "every species"


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
