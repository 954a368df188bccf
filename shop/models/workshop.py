"""A workshop and the people who belong to it."""

from __future__ import annotations

import re
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from orders.core.times import StationKind
from orders.models.owned import Owned, Versioned
from shop.core.plan.prices import Measure
from shop.core.roles import Role

COLOUR = re.compile(r"#[0-9a-fA-F]{6}")
LEAST_CONTRAST = 4.5
MOST_HOURS_LATE = 10_000


def role_choices() -> list[tuple[str, str]]:
    """The roles, for forms."""
    return [(role.value, role.value.capitalize()) for role in Role]


def check_time_zone(name: str) -> None:
    """Refuse a name that is not in the time-zone database."""
    from zoneinfo import available_timezones

    if name not in available_timezones():
        raise ValidationError(f"“{name}” is not a time zone; write it as Europe/Dublin.")


def check_accent(colour: str) -> None:
    """Refuse what is no colour, or too pale for letters on white (WCAG 2.2, 1.4.3: 4.5 to 1)."""
    if not COLOUR.fullmatch(colour):
        raise ValidationError(f"“{colour}” is not a colour; write it as #85490c.")
    if contrast_on_white(colour) < LEAST_CONTRAST:
        raise ValidationError(f"{colour} is too pale to be read on paper; choose a darker colour.")


def priced(what: str, hours: float) -> models.FloatField[float, float]:
    """What a measure of a plan counts, in hours that an order of weight 1 is late."""
    return models.FloatField(
        what,
        default=hours,
        validators=[MinValueValidator(0), MaxValueValidator(MOST_HOURS_LATE)],
        help_text="Counts as so many hours that an order of weight 1 is late.",
    )


def usual_order() -> list[str]:
    """Measures one after another as most owners put them; common practice, no source."""
    return [Measure.LATENESS, Measure.OVERTIME, Measure.SETUP, Measure.IN_PROGRESS]


def usual_light_operations() -> list[str]:
    """Handwork that leaves an eye for a machine nearby; common practice, no source."""
    return ["clean-up", "mark-out", "mark-parts", "mark-pins", "sand"]


def contrast_on_white(colour: str) -> float:
    """The contrast of a colour (#rrggbb) on white. Source: WCAG 2.2, relative luminance."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05)


class Workshop(Versioned):
    """One shop: its own people, stations, timber, rates and orders."""

    workshop_path = "pk"

    class Unit(models.TextChoices):
        """How lengths are shown and typed."""

        MM = "mm", "millimetres"
        INCH = "inch", "inches"

    class PlansBy(models.TextChoices):
        """How what counts in a plan is put together."""

        WEIGHT = "weight", "weighed one against another"
        ORDER = "order", "one after another, in an order"

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
    country = models.CharField(max_length=2, blank=True, help_text="Two letters, as IE or DE.")
    language = models.CharField("language of papers", max_length=2, default="en")
    iban = models.CharField("bank account (IBAN)", max_length=34, blank=True)
    accent = models.CharField(
        "colour of the letterhead",
        max_length=7,
        default="#15222c",
        validators=[check_accent],
        help_text="Six figures after a #, dark enough to be read on white paper.",
    )
    quote_terms = models.TextField(blank=True, help_text="Printed at the end of every quotation.")
    usual_offer: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(
        default=dict, blank=True, help_text="What a new quote begins with."
    )
    quote_valid_days = models.PositiveSmallIntegerField(default=30)
    plans_itself = models.BooleanField(
        "adopt each new plan at once",
        default=False,
        help_text="Otherwise a new plan is a proposal until the foreman adopts it.",
    )

    batch_pieces = models.PositiveSmallIntegerField(
        "pieces handed on at a time",
        default=0,
        help_text="An operation may begin when so many pieces of the one before are done; "
        "0 when it waits for all of them.",
    )
    outwork_days = models.PositiveSmallIntegerField(
        "days that outwork is away",
        default=5,
        help_text="From the day it goes out until the day it is back; 0 for the same day.",
    )
    allows_minding = models.BooleanField(
        "a hand may mind a running machine",
        default=False,
        help_text="While it does light work in the same area.",
    )
    light_operations: models.JSONField[list[str], list[str]] = models.JSONField(
        "light work", default=usual_light_operations, blank=True
    )
    outwork_leaves_on: models.JSONField[list[int], list[int]] = models.JSONField(
        "outwork goes out on", default=list, blank=True, help_text="Weekdays; none for any."
    )
    outwork_leaves_at = models.TimeField("outwork goes out at", null=True, blank=True)
    outwork_returns_on: models.JSONField[list[int], list[int]] = models.JSONField(
        "outwork comes back on", default=list, blank=True, help_text="Weekdays; none for any."
    )
    outwork_returns_at = models.TimeField("outwork comes back at", null=True, blank=True)
    plans_by = models.CharField(
        "what counts is", max_length=6, choices=PlansBy.choices, default=PlansBy.WEIGHT
    )
    measure_order: models.JSONField[list[str], list[str]] = models.JSONField(
        "measures, the first before all others", default=usual_order
    )
    late_order_price = priced("An order that is late at all", 0)
    overtime_price = priced("An hour of overtime", 2)
    setup_price = priced("An hour of setting up", 0)
    in_progress_price = priced("A day that an order is in progress", 0)
    idle_price = priced("A day that half-finished pieces lie idle", 0)

    class Meta:
        ordering = ["name", "pk"]
        default_permissions = ()
        permissions = [("edit_workshop", "Change the workshop's own settings")]

    def __str__(self) -> str:
        return self.name

    def counts_as_light(self, operation: str, station_kind: str) -> bool:
        """Whether an operation, by its code, is light work: only at a bench."""
        return station_kind == StationKind.BENCH and operation in self.light_operations


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
