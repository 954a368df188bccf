"""Work that belongs to no joint: planing up, sanding, finishing, fitting, delivery."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from .assembly import MOST, Assembly
from .owned import Versioned


class ExtraWork(Versioned):
    """One such operation on an assembly."""

    workshop_path = "assembly__commission__workshop"

    assembly = models.ForeignKey(Assembly, on_delete=models.CASCADE, related_name="extras")
    operation = models.CharField(max_length=40)
    name = models.CharField(
        max_length=120, blank=True, help_text="Leave empty for the operation's usual name."
    )
    minutes = models.DecimalField(
        max_digits=8,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(100_000)],
        help_text="For one assembly. Leave empty for the standard time.",
    )
    count = models.PositiveIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(MOST)]
    )

    class Meta:
        ordering = ["assembly", "pk"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(
                condition=models.Q(count__gte=1, count__lte=MOST),
                name="extra_count_sane",
                violation_error_message="Give a count between 1 and 9,999.",
            )
        ]

    def __str__(self) -> str:
        return self.name or self.operation
