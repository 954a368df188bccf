"""An operation: one piece of work at one kind of station, frozen when its commission is released."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from .assembly import Assembly
from .commission import Commission
from .extra import ExtraWork
from .joint import Joint
from .owned import OwnedQuerySet, Versioned


class OperationQuerySet(OwnedQuerySet):
    """Named questions about operations."""

    def open(self) -> OperationQuerySet:
        """Still to be done, wholly or in part."""
        return self.exclude(state__in=[Operation.State.DONE, Operation.State.DROPPED])


class Operation(Versioned):
    """A step of the work on an assembly, with its standard minutes at the time of release."""

    workshop_path = "commission__workshop"

    class State(models.TextChoices):
        """How far it is; `ready` and `waiting` follow from what comes before."""

        READY = "ready", "ready"
        WAITING = "waiting", "waits"
        RUNNING = "running", "running"
        PAUSED = "paused", "paused"
        DONE = "done", "done"
        DROPPED = "dropped", "dropped"

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="operations")
    assembly = models.ForeignKey(Assembly, on_delete=models.PROTECT, related_name="operations")
    joint = models.ForeignKey(
        Joint, null=True, blank=True, on_delete=models.PROTECT, related_name="operations"
    )
    extra = models.ForeignKey(
        ExtraWork, null=True, blank=True, on_delete=models.PROTECT, related_name="operations"
    )
    number = models.PositiveIntegerField(help_text="Its place in the commission's working order.")
    code = models.CharField(max_length=40)
    name = models.CharField(max_length=160)
    method = models.CharField(max_length=8, blank=True)
    station_kind = models.CharField(max_length=20)
    skill = models.CharField(max_length=20)
    pieces = models.PositiveIntegerField(default=1)
    setup_min = models.FloatField(default=0)
    each_min = models.FloatField(default=0)
    spread = models.FloatField(default=0.3)
    cure_min = models.FloatField(
        default=0, help_text="Wall-clock minutes before the next operation may begin."
    )
    hold_to = models.CharField(max_length=200, blank=True)
    caution = models.CharField(max_length=40, blank=True)
    after: models.ManyToManyField[Operation, Operation] = models.ManyToManyField(
        "self", symmetrical=False, related_name="before", blank=True
    )
    state = models.CharField(max_length=8, choices=State.choices, default=State.WAITING)
    pieces_done = models.PositiveIntegerField(default=0)
    done_at = models.DateTimeField(null=True, blank=True)

    objects: ClassVar = OperationQuerySet.as_manager()

    class Meta:
        ordering = ["commission", "number"]
        default_permissions = ()
        permissions = [("print_papers", "See and print job sheets and cutting lists")]
        constraints = [
            models.UniqueConstraint(fields=["commission", "number"], name="operation_number_once"),
            models.CheckConstraint(
                condition=models.Q(pieces_done__lte=models.F("pieces")),
                name="operation_pieces_done_at_most_all",
                violation_error_message="More pieces done than there are.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.commission.mark}.{self.number} {self.name}"

    @property
    def minutes(self) -> float:
        """The standard minutes for all its pieces."""
        return self.setup_min + self.pieces * self.each_min

    @property
    def mark(self) -> str:
        """How it is named on papers: the commission's number and its own."""
        return f"{self.commission.mark}.{self.number:02d}"
