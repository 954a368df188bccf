"""A commission: an enquiry and what becomes of it."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse

from orders.core.errors import NotNow
from orders.core.stages import LABELS, MOVES, Stage

from .client import Client
from .owned import Owned, OwnedQuerySet


def stage_choices() -> list[tuple[str, str]]:
    """The stages, for forms."""
    return [(stage.value, LABELS[stage]) for stage in Stage]


class CommissionQuerySet(OwnedQuerySet):
    """Named questions about commissions."""

    def open(self) -> CommissionQuerySet:
        """Neither closed nor declined."""
        return self.exclude(stage__in=[Stage.CLOSED, Stage.DECLINED])

    def at_the_bench(self) -> CommissionQuerySet:
        """Released and not yet delivered."""
        return self.filter(stage=Stage.IN_WORK)


class Commission(Owned):
    """An enquiry, and the order it becomes when the client accepts."""

    number = models.PositiveIntegerField(editable=False)
    title = models.CharField(max_length=120)
    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="commissions")
    stage = models.CharField(
        max_length=12, choices=stage_choices, default=Stage.ENQUIRY.value, editable=False
    )
    exposure = models.CharField(
        max_length=24,
        default="dry-interior",
        help_text="Where the work will stand; it gives the lowest glue class that will do.",
    )
    glue_class = models.CharField(
        max_length=2, blank=True, help_text="Leave empty for the lowest class that will do."
    )
    glue_reason = models.CharField(
        "reason for a lower glue class",
        max_length=200,
        blank=True,
        help_text="Needed only when the class is lower than the exposure asks for.",
    )
    due_on = models.DateField("due", null=True, blank=True)
    timber_on = models.DateField(
        "timber arrives",
        null=True,
        blank=True,
        help_text="Nothing is begun before that day; empty when the timber is there.",
    )
    weight = models.DecimalField(
        "importance",
        max_digits=4,
        decimal_places=1,
        default=Decimal("1.0"),
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(Decimal("100"))],
        help_text="1 is usual; a late day of an order of importance 2 counts double in the plan.",
    )
    note = models.TextField(blank=True)

    objects: ClassVar = CommissionQuerySet.as_manager()

    class Meta:
        ordering = ["-number"]
        default_permissions = ()
        permissions = [
            ("see_commissions", "See commissions and their breakdown"),
            ("edit_commissions", "Edit commissions and their breakdown"),
            ("release_commissions", "Release commissions to the bench"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["workshop", "number"], name="commission_number_once")
        ]

    def __str__(self) -> str:
        return f"{self.mark} {self.title}"

    def get_absolute_url(self) -> str:
        return reverse("commission", args=[self.pk])

    @property
    def mark(self) -> str:
        """The number as it is written on papers."""
        return f"{self.number:04d}"

    @property
    def is_frozen(self) -> bool:
        """Whether the breakdown may no longer change, because it was released."""
        return self.stage not in (Stage.ENQUIRY, Stage.QUOTED, Stage.ACCEPTED)

    def require_open(self) -> None:
        """Raise NotNow if the breakdown may no longer change."""
        if self.is_frozen:
            raise NotNow(
                f"{self.mark} is {LABELS[Stage(self.stage)].lower()}: its breakdown is frozen."
                " Duplicate the commission to change it."
            )

    def require_move(self, to: Stage) -> None:
        """Raise NotNow if the commission may not move to `to`."""
        now = Stage(self.stage)
        if to not in MOVES[now]:
            ways = " or ".join(f"“{LABELS[stage]}”" for stage in MOVES[now])
            raise NotNow(
                f"A commission that is “{LABELS[now]}” cannot become “{LABELS[to]}”. "
                + (f"It can become {ways}." if ways else "It is finished.")
            )


class StageMove(models.Model):
    """One move of a commission from a stage to the next; the history of stages."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="moves")
    from_stage = models.CharField(max_length=12, choices=stage_choices)
    to_stage = models.CharField(max_length=12, choices=stage_choices)
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        default_permissions = ()

    def __str__(self) -> str:
        return f"{self.from_stage} to {self.to_stage}"
