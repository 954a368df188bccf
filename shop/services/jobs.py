"""Jobs: rows first and messages second, run under a lease, swept up when a worker dies."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from uuid import UUID

from celery import current_app
from django.conf import settings
from django.db import IntegrityError, transaction
from django.db.models import F, Q
from django.utils import timezone

from orders.core.errors import NotNow, WorkshopError
from shop.models import Job, User, Workshop

log = logging.getLogger(__name__)
MOST_ATTEMPTS = 5


class Stopped(Exception):
    """Raised inside a job whose stop was asked for."""


class Overtaken(Exception):
    """Raised inside a job that another worker has taken over."""


@dataclass(slots=True)
class Claim:
    """A worker's hold on a job: it reports progress, renews the lease and learns of a stop."""

    job: Job
    fence: int

    def report(self, share: float, step: str = "") -> None:
        """Write progress (0 to 1) and renew the lease.

        Raises Stopped if somebody asked for a stop, Overtaken if the lease was lost.
        """
        held = Job.objects.filter(pk=self.job.pk, fence=self.fence, state=Job.State.RUNNING)
        renewed = held.update(
            progress=max(0.0, min(1.0, share)), step=step[:200], lease_until=lease_end()
        )
        if not renewed:
            raise Overtaken
        if self.is_stop_wanted():
            raise Stopped

    def is_stop_wanted(self) -> bool:
        """Whether somebody asked for a stop."""
        return bool(Job.objects.filter(pk=self.job.pk, stop_wanted=True).exists())


Work = Callable[[Claim], Mapping[str, Any] | None]
WORKS: dict[str, Work] = {}


def work(kind: str) -> Callable[[Work], Work]:
    """Register what a worker does for jobs of `kind`; it may run twice without harm."""

    def register(function: Work) -> Work:
        WORKS[kind] = function
        return function

    return register


def lease_end() -> Any:
    """Until when a claim made now holds."""
    return timezone.now() + timedelta(seconds=settings.JOB_LEASE_SECONDS)


def wake(job_id: UUID) -> None:
    """Tell a worker that there is something to do; if the message is lost, the sweep finds it."""
    try:
        current_app.tasks["shop.tasks.run_job"].delay(str(job_id))
    except Exception:
        log.warning("No worker could be told of job %s; the sweep will find it.", job_id)


def ask(
    kind: str,
    workshop: Workshop,
    payload: Mapping[str, Any] | None = None,
    *,
    by: User | None = None,
    once: str = "",
) -> Job:
    """Make a job, or return the unfinished one that has the same `once`, and wake a worker."""
    try:
        with transaction.atomic():
            job = Job.objects.create(
                workshop=workshop, kind=kind, payload=dict(payload or {}), made_by=by, once=once
            )
    except IntegrityError:
        running: Job = Job.objects.unfinished().of(workshop).get(once=once)
        return running
    transaction.on_commit(lambda: wake(job.pk))
    return job


def stop(job: Job) -> None:
    """Ask a job to stop; one that waits stops at once.

    Raises NotNow if it is already finished.
    """
    now = timezone.now()
    waiting = Job.objects.filter(pk=job.pk, state=Job.State.WAITING)
    if waiting.update(state=Job.State.STOPPED, ended_at=now, stop_wanted=True):
        return
    if not Job.objects.filter(pk=job.pk, state=Job.State.RUNNING).update(stop_wanted=True):
        raise NotNow("This work has already ended; there is nothing to stop.")


def claim(job_id: UUID) -> Claim | None:
    """Take a waiting job, or a running one whose lease has ended; None if there is none to take."""
    now = timezone.now()
    free = Q(state=Job.State.WAITING) | Q(state=Job.State.RUNNING, lease_until__lt=now)
    taken = Job.objects.filter(free, pk=job_id, attempts__lt=MOST_ATTEMPTS).update(
        state=Job.State.RUNNING,
        fence=F("fence") + 1,
        attempts=F("attempts") + 1,
        lease_until=lease_end(),
        started_at=now,
    )
    if not taken:
        return None
    job = Job.objects.select_related("workshop").get(pk=job_id)
    return Claim(job=job, fence=job.fence)


def run(job_id: UUID) -> None:
    """Claim the job and do its work; a second run of a finished job does nothing."""
    held = claim(job_id)
    if held is None:
        return
    try:
        result = WORKS[held.job.kind](held)
    except Overtaken:
        return
    except Stopped:
        finish(held, Job.State.STOPPED)
    except WorkshopError as error:
        finish(held, Job.State.FAILED, problem=error.message)
    except Exception:
        finish(held, Job.State.FAILED, problem="Something went wrong on our side; it is logged.")
        raise
    else:
        finish(held, Job.State.DONE, result=dict(result or {}), progress=1.0)


def finish(held: Claim, state: Job.State, **fields: Any) -> None:
    """Write the end of a job, unless another worker has taken it over meanwhile."""
    Job.objects.filter(pk=held.job.pk, fence=held.fence, state=Job.State.RUNNING).update(
        state=state, ended_at=timezone.now(), lease_until=None, **fields
    )


def sweep() -> int:
    """Wake a worker for every job whose message or worker was lost; give up on hopeless ones."""
    now = timezone.now()
    lost = Q(state=Job.State.RUNNING, lease_until__lt=now) | Q(
        state=Job.State.WAITING, made_at__lt=now - timedelta(seconds=settings.SWEEP_SECONDS)
    )
    Job.objects.filter(lost, attempts__gte=MOST_ATTEMPTS).update(
        state=Job.State.FAILED,
        ended_at=now,
        lease_until=None,
        problem="The worker was lost five times over this; look at the log, then ask for it again.",
    )
    waiting = list(Job.objects.filter(lost).values_list("pk", flat=True))
    for job_id in waiting:
        wake(job_id)
    return len(waiting)
