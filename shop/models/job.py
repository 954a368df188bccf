"""A job: work that goes on by itself; its row is the truth, a message only wakes the worker."""

from __future__ import annotations

import uuid
from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from orders.models.owned import OwnedQuerySet


class JobQuerySet(OwnedQuerySet):
    """Named questions about jobs."""

    def unfinished(self) -> JobQuerySet:
        """Waiting or running."""
        return self.filter(state__in=[Job.State.WAITING, Job.State.RUNNING])


class Job(models.Model):
    """One run of one kind of work, for one workshop."""

    workshop_path = "workshop"

    class State(models.TextChoices):
        """How far it is."""

        WAITING = "waiting", "waits"
        RUNNING = "running", "running"
        DONE = "done", "done"
        FAILED = "failed", "failed"
        STOPPED = "stopped", "stopped"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    workshop = models.ForeignKey("shop.Workshop", on_delete=models.CASCADE, related_name="+")
    kind = models.CharField(max_length=40)
    payload: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(default=dict)
    state = models.CharField(max_length=8, choices=State.choices, default=State.WAITING)
    progress = models.FloatField(default=0)
    step = models.CharField(max_length=200, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    fence = models.PositiveIntegerField(
        default=0, help_text="Rises with each claim, so that a late worker cannot write."
    )
    lease_until = models.DateTimeField(null=True, blank=True)
    stop_wanted = models.BooleanField(default=False)
    once = models.CharField(
        max_length=120, blank=True, help_text="While one such job is unfinished, no second is made."
    )
    result: models.JSONField[dict[str, Any] | None, dict[str, Any] | None] = models.JSONField(
        null=True, blank=True
    )
    problem = models.TextField(blank=True)
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    started_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    objects: ClassVar = JobQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at"]
        default_permissions = ()
        indexes = [models.Index(fields=["state", "lease_until"], name="job_to_sweep")]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "once"],
                condition=~Q(once="") & Q(state__in=["waiting", "running"]),
                name="job_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.state}"

    @property
    def is_finished(self) -> bool:
        """Whether nothing more will happen to it."""
        return self.state not in (self.State.WAITING, self.State.RUNNING)
