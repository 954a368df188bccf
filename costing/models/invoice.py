"""Invoices: one a stage of an accepted quote, numbered without a gap, never changed."""

from __future__ import annotations

from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from costing.core.invoice import InvoiceKind
from orders.models.owned import OwnedQuerySet

from .quote import Quote


def kind_choices() -> list[tuple[str, str]]:
    """The kinds, for forms."""
    return [(kind.value, kind.label) for kind in InvoiceKind]


class Invoice(models.Model):
    """An invoice as it was issued; what is wrong is taken back by a credit note and issued anew."""

    workshop_path = "workshop"

    workshop = models.ForeignKey("shop.Workshop", on_delete=models.PROTECT, related_name="+")
    year = models.PositiveSmallIntegerField()
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=8, choices=kind_choices)
    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="invoices")
    stage = models.PositiveSmallIntegerField(help_text="Which payment of the plan, from 1.")
    takes_back = models.OneToOneField(
        "self", null=True, on_delete=models.PROTECT, related_name="taken_back_by"
    )
    is_taken_back = models.BooleanField(default=False)
    issued_on = models.DateField()
    due_on = models.DateField()
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    currency = models.CharField(max_length=3)
    gross = models.DecimalField(max_digits=19, decimal_places=4)
    due = models.DecimalField(max_digits=19, decimal_places=4)
    content: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField()
    pdf = models.BinaryField(editable=False)
    pdf_sha256 = models.CharField(max_length=64, editable=False)

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-year", "-number"]
        default_permissions = ()
        permissions = [
            ("see_invoices", "See invoices"),
            ("issue_invoices", "Issue invoices and take them back"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "year", "number"], name="invoice_number_once"
            ),
            models.UniqueConstraint(
                fields=["quote", "stage"],
                condition=Q(is_taken_back=False) & ~Q(kind=InvoiceKind.CREDIT.value),
                name="invoice_stage_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.mark} {self.kind}"

    @property
    def mark(self) -> str:
        """The number as it is written on papers."""
        return f"{self.year}-{self.number:04d}"
