"""A hand: a person who works at the bench."""

from __future__ import annotations

from django.db import models

from orders.models.owned import Owned

from .calendar import WorkingCalendar
from .workshop import Membership


class Hand(Owned):
    """Somebody whose time is planned and clocked; not every hand signs in."""

    membership = models.OneToOneField(
        Membership, null=True, blank=True, on_delete=models.SET_NULL, related_name="hand"
    )
    name = models.CharField(max_length=80)
    calendar = models.ForeignKey(WorkingCalendar, on_delete=models.PROTECT, related_name="hands")
    is_in_use = models.BooleanField("works here", default=True)

    class Meta:
        ordering = ["name", "pk"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "name"],
                name="hand_name_once",
                violation_error_message="There is already a hand of this name.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class HandSkill(models.Model):
    """What a hand can do, and how well (1 learning, 2 able, 3 master)."""

    hand = models.ForeignKey(Hand, on_delete=models.CASCADE, related_name="skills")
    skill = models.CharField(max_length=20)
    level = models.PositiveSmallIntegerField(
        default=2, choices=[(1, "learning"), (2, "able"), (3, "master")]
    )

    class Meta:
        ordering = ["skill"]
        default_permissions = ()
        constraints = [models.UniqueConstraint(fields=["hand", "skill"], name="hand_skill_once")]

    def __str__(self) -> str:
        return f"{self.skill} {self.level}"
