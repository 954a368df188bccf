"""The client's door to one quote: a link that cannot be guessed, and what is asked through it."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from django.conf import settings
from django.db import models

from orders.models.owned import OwnedQuerySet

from .quote import Quote


class QuoteLink(models.Model):
    """A link to a quote, of which only the hash is kept; it ends, and can be ended."""

    workshop_path = "quote__commission__workshop"

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="links")
    sha256 = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    ends_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, help_text="When it was taken back.")
    seen_at = models.DateTimeField(null=True, help_text="When it was first opened.")

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        default_permissions = ()

    def __str__(self) -> str:
        return f"link to {self.quote_id}"

    def is_open(self, at: datetime) -> bool:
        """Whether it still leads to the quote."""
        return self.ended_at is None and at < self.ends_at


class QuoteQuestion(models.Model):
    """A question that the client asked about a quote, and the answer they read there."""

    workshop_path = "quote__commission__workshop"

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="questions")
    name = models.CharField(max_length=120)
    text = models.CharField(max_length=2000)
    asked_at = models.DateTimeField()
    answer = models.TextField(blank=True, max_length=4000)
    answered_at = models.DateTimeField(null=True)
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["asked_at", "pk"]
        default_permissions = ()

    def __str__(self) -> str:
        return self.text[:60]
