"""What every row of a workshop has in common: its owner, its edition and when it changed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar, Self

from django.db import models

from orders.core.errors import Stale

if TYPE_CHECKING:
    from shop.models import Workshop


class OwnedQuerySet(models.QuerySet[Any]):
    """Rows that reach a workshop by `model.workshop_path`."""

    def of(self, workshop: Workshop) -> Self:
        """Only what this workshop may see."""
        return self.filter(**{self.model.workshop_path: workshop})


class Versioned(models.Model):
    """A row with an edition number, so that two people cannot overwrite each other silently."""

    version = models.PositiveIntegerField(default=1, editable=False)
    created_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    workshop_path = "workshop"
    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        abstract = True

    def require_version(self, version: int | None) -> None:
        """Raise Stale if the row is no longer the one that was read (None: no claim made)."""
        if version is not None and version != self.version:
            raise Stale(
                "Somebody changed this while you had it open. Read it again, then repeat your change."
            )

    def save_next(self) -> None:
        """Save as the next edition."""
        self.version += 1
        self.save()


class Owned(Versioned):
    """A row that names its workshop itself."""

    workshop = models.ForeignKey("shop.Workshop", on_delete=models.CASCADE, related_name="+")

    class Meta:
        abstract = True
