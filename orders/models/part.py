"""A part: one piece of wood of an assembly, by its finished size."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from .assembly import MOST, Assembly
from .owned import Versioned

LONGEST_MM = Decimal("20000")
THINNEST_MM = Decimal("0.5")


def length_field(name: str) -> models.DecimalField[Decimal, Decimal]:
    """A finished size in millimetres, to a thousandth."""
    return models.DecimalField(
        name,
        max_digits=9,
        decimal_places=3,
        validators=[MinValueValidator(THINNEST_MM), MaxValueValidator(LONGEST_MM)],
    )


class Part(Versioned):
    """Equal pieces of one species and one finished size, in one assembly."""

    workshop_path = "assembly__commission__workshop"

    class Grain(models.TextChoices):
        """Which of the sizes runs with the fibre."""

        LENGTH = "length", "along the length"
        WIDTH = "width", "along the width"

    assembly = models.ForeignKey(Assembly, on_delete=models.CASCADE, related_name="parts")
    mark = models.CharField(max_length=8, help_text="Short mark on drawings and labels, as P1.")
    name = models.CharField(max_length=120)
    species = models.CharField(max_length=40)
    length_mm = length_field("length")
    width_mm = length_field("width")
    thickness_mm = length_field("thickness")
    quantity = models.PositiveIntegerField(
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(MOST)],
        help_text="Pieces in one assembly.",
    )
    grain = models.CharField(max_length=8, choices=Grain.choices, default=Grain.LENGTH)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["assembly", "pk"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(
                fields=["assembly", "mark"],
                name="part_mark_once",
                violation_error_message="This assembly already has a part of this mark.",
            ),
            models.CheckConstraint(
                condition=models.Q(length_mm__gt=0, width_mm__gt=0, thickness_mm__gt=0),
                name="part_sizes_positive",
                violation_error_message="Every size of a part must be more than zero.",
            ),
            models.CheckConstraint(
                condition=models.Q(quantity__gte=1, quantity__lte=MOST),
                name="part_quantity_sane",
                violation_error_message="Give a quantity between 1 and 9,999.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.mark} {self.name}"
