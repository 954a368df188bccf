"""A plan: an edition of the schedule, and its bookings."""

from __future__ import annotations

from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from orders.models import Operation
from orders.models.owned import OwnedQuerySet

from .hand import Hand
from .job import Job
from .station import Station


class PlanQuerySet(OwnedQuerySet):
    """Named questions about plans."""

    def in_force(self) -> PlanQuerySet:
        """The adopted plan (at most one a workshop)."""
        return self.filter(state=Plan.State.ADOPTED)


class Plan(models.Model):
    """One edition of the schedule of a workshop."""

    workshop_path = "workshop"

    class State(models.TextChoices):
        """Whether the shop works to it."""

        PROPOSED = "proposed", "proposed"
        ADOPTED = "adopted", "in force"
        SUPERSEDED = "superseded", "superseded"
        KEPT = "kept", "kept beside"

    workshop = models.ForeignKey("shop.Workshop", on_delete=models.CASCADE, related_name="+")
    number = models.PositiveIntegerField()
    state = models.CharField(max_length=12, choices=State.choices, default=State.PROPOSED)
    job = models.ForeignKey(Job, null=True, on_delete=models.SET_NULL, related_name="plans")
    made_at = models.DateTimeField()
    read_at = models.DateTimeField(help_text="The moment whose clockings and orders it knows.")
    method = models.CharField(max_length=40)
    late_min = models.FloatField(default=0)
    objective: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(default=dict)
    lower_bound = models.FloatField(null=True)
    is_proved = models.BooleanField(default=False)
    adopted_at = models.DateTimeField(null=True)
    adopted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )

    objects: ClassVar = PlanQuerySet.as_manager()

    class Meta:
        ordering = ["-number"]
        default_permissions = ()
        permissions = [
            ("see_schedule", "See the wall chart and all day sheets"),
            ("make_schedule", "Plan, stop planning and adopt a plan"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["workshop", "number"], name="plan_number_once"),
            models.UniqueConstraint(
                fields=["workshop"], condition=Q(state="adopted"), name="plan_one_in_force"
            ),
        ]

    def __str__(self) -> str:
        return f"plan {self.number}"


class Booking(models.Model):
    """An operation's place in a plan: station, hand, from, to."""

    workshop_path = "plan__workshop"

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="bookings")
    operation = models.ForeignKey(Operation, on_delete=models.CASCADE, related_name="bookings")
    station = models.ForeignKey(
        Station, null=True, on_delete=models.CASCADE, related_name="bookings"
    )
    hand = models.ForeignKey(Hand, null=True, on_delete=models.CASCADE, related_name="bookings")
    helpers: models.ManyToManyField[Hand, Hand] = models.ManyToManyField(
        Hand, related_name="+", help_text="The other hands, where several work on it at once."
    )
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    stretches: models.JSONField[list[list[str]], list[list[str]]] = models.JSONField(
        default=list, help_text="Working stretches as pairs of ISO 8601 instants."
    )
    overtime: models.JSONField[list[list[str]], list[list[str]]] = models.JSONField(
        default=list, help_text="Those of them beyond regular hours, as pairs too."
    )
    leaves_at = models.DateTimeField(null=True, help_text="When its pieces are sent away.")
    returns_at = models.DateTimeField(null=True, help_text="When they are back.")

    objects = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["starts_at", "pk"]
        default_permissions = ()
        indexes = [models.Index(fields=["plan", "starts_at"], name="booking_by_time")]
        constraints = [
            models.UniqueConstraint(fields=["plan", "operation"], name="booking_once"),
            models.CheckConstraint(
                condition=Q(ends_at__gte=F("starts_at")), name="booking_ends_after_start"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.operation} {self.starts_at:%a %H:%M}"
