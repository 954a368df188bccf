"""What was learned of labour: the newest fit with its figures, and what people said about it."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.conf import settings
from django.db import models

from orders.models import Commission, Operation, StandardEdition
from orders.models.owned import OwnedQuerySet
from shop.models import Hand

LEAST_CHANGE = 0.10
"""A standard within a tenth of what is learned is left alone."""


def money_field(help_text: str) -> models.DecimalField[Decimal | None, Decimal | None]:
    """An amount that is not known without rates."""
    return models.DecimalField(max_digits=19, decimal_places=2, null=True, help_text=help_text)


class LabourFit(models.Model):
    """The newest fit of a workshop; it holds for its edition of the standard times only."""

    workshop_path = "workshop"

    workshop = models.OneToOneField("shop.Workshop", on_delete=models.CASCADE, related_name="+")
    edition = models.ForeignKey(StandardEdition, on_delete=models.CASCADE, related_name="+")
    digest = models.CharField(
        max_length=64,
        help_text="Of all that was learned from; the same again is not learned twice.",
    )
    made_at = models.DateTimeField()
    last_day = models.DateField(null=True, help_text="The last day clocked; older days fade.")
    clockings = models.PositiveIntegerField()
    left_out = models.PositiveIntegerField(help_text="Clockings that a person judged wrong.")
    spreads: models.JSONField[dict[str, float], dict[str, float]] = models.JSONField()
    kept = models.BinaryField(editable=False, help_text="What foretelling needs.")

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        default_permissions = ()

    def __str__(self) -> str:
        return f"learned from {self.clockings} clockings"


class OfFit(models.Model):
    """A row that goes when its fit is made anew."""

    workshop_path = "fit__workshop"

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        abstract = True


class LearnedCell(OfFit):
    """What one row of the standard times really takes, as a share of what the row says."""

    fit = models.ForeignKey(LabourFit, on_delete=models.CASCADE, related_name="cells")
    joint = models.CharField(max_length=40, blank=True)
    operation = models.CharField(max_length=40)
    method = models.CharField(max_length=8)
    clockings = models.PositiveIntegerField()
    effective = models.FloatField(help_text="Clockings, faded with age and less what looks wrong.")
    weight = models.FloatField(help_text="How far the clockings made the ratio: 0 to 1.")
    each_ratio = models.FloatField()
    each_low = models.FloatField()
    each_high = models.FloatField()
    setup_ratio = models.FloatField()
    setup_low = models.FloatField()
    setup_high = models.FloatField()
    quotes_effect = money_field("What open quotes would cost more, had they the learned times.")
    year_effect = money_field("What this year's work cost beyond what the standard reckons.")

    class Meta:
        ordering = ["joint", "operation", "method"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(
                fields=["fit", "joint", "operation", "method"], name="learned_cell_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.joint} {self.operation} {self.method} {self.each_ratio:.2f}"

    @property
    def is_worth_proposing(self) -> bool:
        """Whether the interval leaves the standard out, and the change is more than slight."""
        leaves_out = not self.each_low <= 1 <= self.each_high
        return leaves_out and abs(self.each_ratio - 1) > LEAST_CHANGE

    @property
    def new_setup_ratio(self) -> float:
        """What a proposal makes of the set-up: as learned where that is sure of itself, else 1."""
        leaves_out = not self.setup_low <= 1 <= self.setup_high
        return self.setup_ratio if leaves_out and abs(self.setup_ratio - 1) > LEAST_CHANGE else 1.0


class HandEffect(OfFit):
    """How a hand's minutes compare with what is usual: for the owner and that hand only."""

    fit = models.ForeignKey(LabourFit, on_delete=models.CASCADE, related_name="hands")
    hand = models.ForeignKey(Hand, on_delete=models.CASCADE, related_name="+")
    operation = models.CharField(max_length=40, blank=True, help_text="Empty for all of them.")
    factor = models.FloatField()
    low = models.FloatField()
    high = models.FloatField()

    class Meta:
        ordering = ["hand", "operation"]
        default_permissions = ()
        permissions = [("see_hand_effects", "See how the hands compare")]

    def __str__(self) -> str:
        return f"{self.hand} {self.operation} {self.factor:.2f}"


class DoubtfulClocking(OfFit):
    """All that a hand clocked on an operation, where that looks wrong: for a person to judge."""

    fit = models.ForeignKey(LabourFit, on_delete=models.CASCADE, related_name="doubts")
    operation = models.ForeignKey(Operation, on_delete=models.CASCADE, related_name="+")
    hand = models.ForeignKey(Hand, on_delete=models.CASCADE, related_name="+")
    minutes = models.FloatField()
    expected_min = models.FloatField()
    chance_wrong = models.FloatField()

    class Meta:
        ordering = ["-chance_wrong", "pk"]
        default_permissions = ()

    def __str__(self) -> str:
        return f"{self.operation}: {self.minutes:.0f} min for {self.expected_min:.0f}"


class ForetoldOrder(OfFit):
    """A finished order's hours as foretold from what was known before it began, and as clocked."""

    fit = models.ForeignKey(LabourFit, on_delete=models.CASCADE, related_name="foretold")
    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="+")
    on = models.DateField(help_text="The day it began.")
    mean_h = models.FloatField()
    sd_h = models.FloatField()
    actual_h = models.FloatField()

    class Meta:
        ordering = ["on", "pk"]
        default_permissions = ()

    def __str__(self) -> str:
        return f"{self.commission.mark}: {self.mean_h:.0f} h foretold, {self.actual_h:.0f} h taken"


class ClockingJudgement(models.Model):
    """What a person said of a doubtful clocking; it holds as long as the minutes are those judged."""

    workshop_path = "operation__commission__workshop"

    operation = models.ForeignKey(Operation, on_delete=models.CASCADE, related_name="+")
    hand = models.ForeignKey(Hand, on_delete=models.CASCADE, related_name="+")
    minutes = models.FloatField()
    is_sound = models.BooleanField()
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    at = models.DateTimeField()

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-at"]
        default_permissions = ()
        permissions = [("judge_labour", "Judge clockings that look wrong, and changes of working")]
        constraints = [
            models.UniqueConstraint(fields=["operation", "hand"], name="clocking_judged_once")
        ]

    def __str__(self) -> str:
        return "sound" if self.is_sound else "wrong"


class LabourChange(models.Model):
    """A day from which an operation goes otherwise: found by the fit, marked by hand, or refused."""

    workshop_path = "workshop"

    class State(models.TextChoices):
        """What a person said of it; found ones go when the fit is made anew."""

        FOUND = "found", "found"
        MARKED = "marked", "marked"
        REFUSED = "refused", "refused"

    workshop = models.ForeignKey("shop.Workshop", on_delete=models.CASCADE, related_name="+")
    joint = models.CharField(max_length=40, blank=True)
    operation = models.CharField(max_length=40)
    method = models.CharField(max_length=8)
    on = models.DateField("from")
    state = models.CharField(max_length=8, choices=State.choices, default=State.FOUND)
    factor = models.FloatField(null=True, help_text="New minutes over old, as learned.")
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    at = models.DateTimeField()

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-on", "pk"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "joint", "operation", "method", "on"], name="labour_change_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.operation} from {self.on}"


class RefusedProposal(models.Model):
    """A standard that a person left as it is; it holds until the clockings say something else."""

    workshop_path = "edition__workshop"

    edition = models.ForeignKey(StandardEdition, on_delete=models.CASCADE, related_name="+")
    joint = models.CharField(max_length=40, blank=True)
    operation = models.CharField(max_length=40)
    method = models.CharField(max_length=8)
    ratio = models.FloatField()
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    at = models.DateTimeField()

    objects: ClassVar = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-at"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(
                fields=["edition", "joint", "operation", "method"], name="proposal_refused_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.joint} {self.operation} left as it is"
