"""When the shop is open, and when it, a station or a hand is not."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from orders.models.owned import Owned

WEEKDAYS = [
    (0, "Monday"),
    (1, "Tuesday"),
    (2, "Wednesday"),
    (3, "Thursday"),
    (4, "Friday"),
    (5, "Saturday"),
    (6, "Sunday"),
]


class WorkingCalendar(Owned):
    """A week of opening hours that stations and hands follow."""

    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["name", "pk"]
        default_permissions = ()

    def __str__(self) -> str:
        return self.name


class Opening(models.Model):
    """One stretch of open hours on one weekday, in the workshop's own time zone."""

    calendar = models.ForeignKey(WorkingCalendar, on_delete=models.CASCADE, related_name="openings")
    weekday = models.PositiveSmallIntegerField(choices=WEEKDAYS)
    starts = models.TimeField()
    ends = models.TimeField()
    is_overtime = models.BooleanField(
        default=False, help_text="Hours beyond the regular ones that a plan may offer at a price."
    )

    class Meta:
        ordering = ["weekday", "starts"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(
                condition=Q(ends__gt=F("starts")),
                name="opening_ends_after_start",
                violation_error_message="The closing time must be later than the opening time.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.starts:%H:%M} to {self.ends:%H:%M}"


class Closure(Owned):
    """A holiday, a hand's leave or a stopped station; without a target it closes the shop."""

    station = models.ForeignKey(
        "shop.Station", null=True, blank=True, on_delete=models.CASCADE, related_name="closures"
    )
    hand = models.ForeignKey(
        "shop.Hand", null=True, blank=True, on_delete=models.CASCADE, related_name="closures"
    )
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    reason = models.CharField(max_length=120)

    class Meta:
        ordering = ["starts_at", "pk"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")),
                name="closure_ends_after_start",
                violation_error_message="The end must be later than the start.",
            ),
            models.CheckConstraint(
                condition=Q(station__isnull=True) | Q(hand__isnull=True),
                name="closure_one_target",
                violation_error_message="Close a station or a hand, not both at once.",
            ),
        ]

    def __str__(self) -> str:
        return self.reason
