"""A workshop and the people who belong to it."""

from __future__ import annotations

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models

from orders.models.owned import Owned, Versioned
from shop.core.roles import Role


def role_choices() -> list[tuple[str, str]]:
    """The roles, for forms."""
    return [(role.value, role.value.capitalize()) for role in Role]


def check_time_zone(name: str) -> None:
    """Refuse a name that is not in the time-zone database."""
    from zoneinfo import available_timezones

    if name not in available_timezones():
        raise ValidationError(f"“{name}” is not a time zone; write it as Europe/Dublin.")


class Workshop(Versioned):
    """One shop: its own people, stations, timber, rates and orders."""

    workshop_path = "pk"

    class Unit(models.TextChoices):
        """How lengths are shown and typed."""

        MM = "mm", "millimetres"
        INCH = "inch", "inches"

    name = models.CharField(max_length=120)
    currency = models.CharField(max_length=3, default="EUR")
    unit = models.CharField(max_length=4, choices=Unit.choices, default=Unit.MM)
    time_zone = models.CharField(
        max_length=64, default="Europe/Dublin", validators=[check_time_zone]
    )
    address = models.TextField(blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    tax_number = models.CharField(max_length=30, blank=True)
    quote_terms = models.TextField(blank=True, help_text="Printed at the end of every quotation.")
    quote_valid_days = models.PositiveSmallIntegerField(default=30)
    plans_itself = models.BooleanField(
        "adopt each new plan at once",
        default=False,
        help_text="Otherwise a new plan is a proposal until the foreman adopts it.",
    )

    class Meta:
        ordering = ["name", "pk"]
        default_permissions = ()
        permissions = [("edit_workshop", "Change the workshop's own settings")]

    def __str__(self) -> str:
        return self.name


class Membership(Owned):
    """A person's place in a workshop."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="memberships"
    )
    role = models.CharField(max_length=12, choices=role_choices)
    is_active = models.BooleanField(default=True)

    class Meta:
        ordering = ["pk"]
        default_permissions = ()
        permissions = [("edit_people", "Invite people and change their roles")]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "user"],
                name="membership_once",
                violation_error_message="This person already belongs to the workshop.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.user}, {self.role}"
