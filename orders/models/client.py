"""A client: whoever commissions work."""

from __future__ import annotations

from django.db import models
from django.urls import reverse

from .owned import Owned


class Client(Owned):
    """A person or firm that commissions work."""

    name = models.CharField(max_length=120)
    contact = models.CharField("contact person", max_length=120, blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    address = models.TextField(blank=True)
    tax_number = models.CharField(max_length=30, blank=True)
    country = models.CharField(
        max_length=2,
        blank=True,
        help_text="Two letters of ISO 3166-1; the workshop's own if empty.",
    )
    language = models.CharField(
        max_length=2, blank=True, help_text="Of papers; the workshop's own if empty."
    )

    class Meta:
        ordering = ["name", "pk"]
        default_permissions = ()
        permissions = [("see_clients", "See clients"), ("edit_clients", "Edit clients")]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "name"],
                name="client_name_once",
                violation_error_message="There is already a client of this name; add a place to it.",
            )
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("client", args=[self.pk])
