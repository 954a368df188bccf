"""A quote: a numbered revision, frozen when it is issued."""

from __future__ import annotations

from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from orders.models import Commission, StandardEdition
from orders.models.owned import OwnedQuerySet, Versioned

from .rates import RateEdition


class Quote(Versioned):
    """One revision of what a commission was offered for; an issued revision never changes."""

    workshop_path = "commission__workshop"

    class State(models.TextChoices):
        """What became of it."""

        DRAFT = "draft", "draft"
        ISSUED = "issued", "issued"
        ACCEPTED = "accepted", "accepted"
        DECLINED = "declined", "declined"
        EXPIRED = "expired", "expired"
        SUPERSEDED = "superseded", "superseded"

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="quotes")
    revision = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=12, choices=State.choices, default=State.DRAFT)
    currency = models.CharField(max_length=3)
    net = models.DecimalField(max_digits=19, decimal_places=4)
    tax = models.DecimalField(max_digits=19, decimal_places=4)
    gross = models.DecimalField(max_digits=19, decimal_places=4)
    content: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(
        help_text="Everything the paper says, the estimate it came from and what that was made from."
    )
    arranged: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(
        default=dict, help_text="What was arranged beside the estimate; kept when drafted again."
    )
    terms = models.TextField(blank=True)
    valid_until = models.DateField()
    standard_edition = models.ForeignKey(
        StandardEdition, on_delete=models.PROTECT, related_name="+"
    )
    rate_edition = models.ForeignKey(RateEdition, on_delete=models.PROTECT, related_name="+")
    issued_at = models.DateTimeField(null=True)
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    decided_at = models.DateTimeField(null=True)
    decided_by = models.CharField(max_length=120, blank=True)
    pdf = models.BinaryField(null=True, editable=False)
    pdf_sha256 = models.CharField(max_length=64, blank=True, editable=False)

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["commission", "-revision"]
        default_permissions = ()
        permissions = [
            ("see_quotes", "See quotes"),
            ("issue_quotes", "Make and issue quotes, and record their answer"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["commission", "revision"], name="quote_revision_once"),
            models.UniqueConstraint(
                fields=["commission"], condition=Q(state="issued"), name="quote_one_open"
            ),
            models.UniqueConstraint(
                fields=["commission"], condition=Q(state="accepted"), name="quote_one_accepted"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.mark} {self.state}"

    def get_absolute_url(self) -> str:
        return reverse("quote", args=[self.pk])

    @property
    def mark(self) -> str:
        """The commission's number and the revision, as it is written on the paper."""
        return f"{self.commission.mark}-{self.revision}"
