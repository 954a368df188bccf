"""A joint: where two parts of an assembly meet, and how."""

from __future__ import annotations

from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from .assembly import MOST, Assembly
from .owned import Versioned
from .part import Part


class Joint(Versioned):
    """Equal joints of one type between two parts of one assembly."""

    workshop_path = "assembly__commission__workshop"

    class Method(models.TextChoices):
        """How it is cut."""

        HAND = "hand", "by hand"
        MACHINE = "machine", "by machine"

    assembly = models.ForeignKey(Assembly, on_delete=models.CASCADE, related_name="joints")
    mark = models.CharField(max_length=8, help_text="Short mark on drawings, as J1.")
    name = models.CharField(max_length=120, blank=True)
    type = models.CharField(max_length=40)
    part_a = models.ForeignKey(
        Part,
        on_delete=models.PROTECT,
        related_name="joints_as_a",
        verbose_name="receiving part",
        help_text="The piece that is mortised, housed or met: the stile, post or side.",
    )
    part_b = models.ForeignKey(
        Part,
        on_delete=models.PROTECT,
        related_name="joints_as_b",
        verbose_name="entering part",
        help_text="The piece whose end or edge goes in: the rail, shelf or pin board.",
    )
    count = models.PositiveIntegerField(
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(MOST)],
        help_text="Joints in one assembly.",
    )
    method = models.CharField(max_length=8, choices=Method.choices, default=Method.MACHINE)
    dimensions: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(
        default=dict,
        blank=True,
        help_text="Own dimensions in millimetres; what is left out follows the rule of thumb.",
    )

    fixings: models.JSONField[list[dict[str, Any]], list[dict[str, Any]]] = models.JSONField(
        default=list,
        blank=True,
        help_text="Nails, screws, pins or bolts that each joint carries beside its glue.",
    )
    jig = models.CharField(
        max_length=40, blank=True, help_text="A jig that is set up once for all of them."
    )

    class Meta:
        ordering = ["assembly", "pk"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(
                fields=["assembly", "mark"],
                name="joint_mark_once",
                violation_error_message="This assembly already has a joint of this mark.",
            ),
            models.CheckConstraint(
                condition=models.Q(count__gte=1, count__lte=MOST),
                name="joint_count_sane",
                violation_error_message="Give a count between 1 and 9,999.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.mark} {self.name or self.type}"
