"""Standard times, in editions: what an operation should take."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from .owned import OwnedQuerySet


class StandardEdition(models.Model):
    """One edition of a workshop's standard times; editions are never edited once used."""

    workshop_path = "workshop"

    workshop = models.ForeignKey("shop.Workshop", on_delete=models.CASCADE, related_name="+")
    number = models.PositiveIntegerField()
    valid_from = models.DateField()
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
            ("see_joint_book", "See the joint book and the standard times"),
            ("edit_standards", "Make a new edition of the standard times"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["workshop", "number"], name="standard_edition_once")
        ]

    def __str__(self) -> str:
        return f"standard times, edition {self.number}"


class StandardTime(models.Model):
    """One row of an edition: minutes = set-up + count x (each + per driver x driver)."""

    edition = models.ForeignKey(StandardEdition, on_delete=models.CASCADE, related_name="rows")
    joint = models.CharField(max_length=40, blank=True)
    operation = models.CharField(max_length=40)
    label = models.CharField(max_length=80)
    method = models.CharField(max_length=8)
    station_kind = models.CharField(max_length=20)
    skill = models.CharField(max_length=20)
    order = models.PositiveIntegerField()
    setup_min = models.FloatField()
    each_min = models.FloatField()
    driver = models.CharField(max_length=40, blank=True)
    per_driver = models.FloatField(default=0)
    spread = models.FloatField()
    cuts_wood = models.BooleanField(default=True)
    hold_to = models.CharField(max_length=200, blank=True)
    caution = models.CharField(max_length=40, blank=True)
    source = models.CharField(max_length=200)

    class Meta:
        ordering = ["joint", "order", "pk"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(
                fields=["edition", "joint", "operation", "method"], name="standard_time_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.joint} {self.operation} {self.method}"
