"""The logo of a workshop: apart from its settings, which every request reads."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from orders.models.owned import OwnedQuerySet

from .workshop import Workshop


class Logo(models.Model):
    """What stands at the head of a workshop's papers, as a PNG ready to be printed."""

    workshop_path = "workshop"

    workshop = models.OneToOneField(Workshop, on_delete=models.CASCADE, related_name="logo")
    png = models.BinaryField()

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        default_permissions = ()

    def __str__(self) -> str:
        return f"logo of {self.workshop}"
