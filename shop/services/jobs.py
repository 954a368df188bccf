"""Jobs: rows first and messages second, run under a lease, swept up when a worker dies."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial
from time import monotonic
from typing import Any
from uuid import UUID

from celery import current_app
from django.conf import settings
from django.db import IntegrityError, transaction
from django.db.models import F, Q
from django.utils import timezone
from kombu.exceptions import ChannelError, OperationalError

from orders.core.errors import NotNow, WorkshopError
from shop.models import Job, User, Workshop

log = logging.getLogger(__name__)
MOST_ATTEMPTS = 5
MOST_WOKEN = 20
REPORT_SECONDS = 0.3
KEPT_DAYS = 30
CALL = "called_at"
LOST = "The worker was lost five times over this; look at the log, then ask for it again."
OUR_FAULT = "Something went wrong on our side; it is logged."


class Stopped(Exception):
    """Raised inside a job whose stop was asked for; `result` is what was kept all the same."""

    def __init__(self, result: Mapping[str, Any] | None = None) -> None:
        super().__init__()
        self.result = result


class Overtaken(Exception):
    """Raised inside a job that another worker has taken over."""


@dataclass(slots=True)
class Claim:
    """A worker's hold on a job: it reports progress, renews the lease and learns of a stop.

    Work must report more often than a lease lasts, or another worker takes the job over.
    """

    job: Job
    fence: int
    reported_at: float = field(default=float("-inf"), init=False)
    asked_at: float = field(default=float("-inf"), init=False)
    heard_stop: bool = field(default=False, init=False)
    payload: dict[str, Any] = field(default_factory=dict, init=False)
    heard_call: bool = field(default=False, init=False)

    def report(
        self, share: float, step: str | Callable[[], str] = "", *, heed_stop: bool = True
    ) -> None:
        """Write progress (0 to 1) and renew the lease; more than a few calls a second are skipped.

        A step that is a function is only asked for when it is written. Raises Stopped if somebody
        asked for a stop (unless told not to), Overtaken if the lease was lost.
        """
        if monotonic() - self.reported_at < REPORT_SECONDS:
            return
        self.reported_at = monotonic()
        if not self._mine().update(
            progress=max(0.0, min(1.0, share)),
            step=(step if isinstance(step, str) else step())[:200],
            lease_until=lease_end(),
        ):
            raise Overtaken
        if heed_stop and self.is_stop_wanted():
            raise Stopped

    def hold(self) -> None:
        """Lock the job's row until the transaction ends, so that what is written goes with it.

        Raises Overtaken if another worker has the job: a late worker writes nothing.
        """
        if self._mine().select_for_update().first() is None:
            raise Overtaken

    def is_stop_wanted(self) -> bool:
        """Whether somebody asked for a stop."""
        return bool(Job.objects.filter(pk=self.job.pk, stop_wanted=True).exists())

    def begin(self) -> None:
        """Note what is asked for before anything else is read; later calls are news."""
        self.payload, self.heard_call, self.asked_at = self._asked(), False, float("-inf")

    def is_called_again(self) -> bool:
        """Whether the job was called for since it began to read."""
        return self._asked() != self.payload

    def is_called_off(self) -> bool:
        """Whether a stop or another call was known of a moment ago, for work that asks all the time."""
        if monotonic() - self.asked_at >= REPORT_SECONDS:
            self.asked_at = monotonic()
            self.heard_stop = self.heard_stop or self.is_stop_wanted()
            self.heard_call = self.heard_call or self.is_called_again()
        return self.heard_stop or self.heard_call

    def _asked(self) -> dict[str, Any]:
        asked: dict[str, Any] = Job.objects.values_list("payload", flat=True).get(pk=self.job.pk)
        return asked

    def _mine(self) -> Any:
        return Job.objects.filter(pk=self.job.pk, fence=self.fence, state=Job.State.RUNNING)


Work = Callable[[Claim], Mapping[str, Any] | None]
WORKS: dict[str, Work] = {}


def work(kind: str) -> Callable[[Work], Work]:
    """Register what a worker does for jobs of `kind`; it may run twice without harm."""

    def register(function: Work) -> Work:
        WORKS[kind] = function
        return function

    return register


def lease_end() -> datetime:
    """Until when a claim made now holds."""
    return timezone.now() + timedelta(seconds=settings.JOB_LEASE_SECONDS)


def wake(job_id: UUID) -> None:
    """Tell a worker that there is something to do; if the message is lost, the sweep finds it."""
    try:
        current_app.tasks["shop.tasks.run_job"].delay(str(job_id))
    except (ChannelError, OperationalError, OSError):
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
    while True:
        try:
            with transaction.atomic():
                job: Job = Job.objects.create(
                    workshop=workshop, kind=kind, payload=dict(payload or {}), made_by=by, once=once
                )
        except IntegrityError:
            if not once:
                raise
            same: Job | None = Job.objects.unfinished().of(workshop).filter(once=once).first()
            if same is not None:
                return same
        else:
            transaction.on_commit(partial(wake, job.pk))
            return job


def call_again(job: Job, payload: Mapping[str, Any] | None = None) -> bool:
    """Have a job that may be under way begin anew; False if it has ended meanwhile."""
    called = {**job.payload, **(payload or {}), CALL: timezone.now().isoformat()}
    return bool(Job.objects.unfinished().filter(pk=job.pk).update(payload=called))


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


@transaction.atomic
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
        log.warning("Job %s was taken over by another worker.", job_id)
    except Stopped as stopped:
        finish(held, Job.State.STOPPED, result=dict(stopped.result or {}))
    except WorkshopError as error:
        finish(held, Job.State.FAILED, problem=error.message)
    except Exception:
        finish(held, Job.State.FAILED, problem=OUR_FAULT)
        raise
    else:
        finish(held, Job.State.DONE, result=dict(result or {}), progress=1.0)


def finish(held: Claim, state: Job.State, **fields: Any) -> None:
    """Write the end of a job, unless another worker has taken it over meanwhile."""
    Job.objects.filter(pk=held.job.pk, fence=held.fence, state=Job.State.RUNNING).update(
        state=state, ended_at=timezone.now(), lease_until=None, **fields
    )


def sweep() -> int:
    """Wake a worker for the jobs whose message or worker was lost; give up on hopeless ones.

    Only the oldest few are woken in one round: while every worker is busy, rounds pile up.
    """
    now = timezone.now()
    lapsed = Q(state=Job.State.RUNNING, lease_until__lt=now)
    lost = lapsed | Q(
        state=Job.State.WAITING, made_at__lt=now - timedelta(seconds=settings.SWEEP_SECONDS)
    )
    end = {"ended_at": now, "lease_until": None}
    Job.objects.filter(lapsed, stop_wanted=True).update(state=Job.State.STOPPED, **end)
    Job.objects.filter(lost, attempts__gte=MOST_ATTEMPTS).update(
        state=Job.State.FAILED, problem=LOST, **end
    )
    found = Job.objects.filter(lost).order_by("made_at").values_list("pk", flat=True)
    waiting = list(found[:MOST_WOKEN])
    for job_id in waiting:
        wake(job_id)
    return len(waiting)


def tidy() -> int:
    """Throw away jobs that ended a month ago; what they made stays."""
    old = timezone.now() - timedelta(days=KEPT_DAYS)
    return int(Job.objects.filter(ended_at__lt=old).delete()[0])
