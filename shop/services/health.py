"""Whether the installation can serve: its database, its migrations, its worker."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from shop.models import Heartbeat

WORKER = "worker"


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """One sentence for each thing that keeps the installation from serving; none if it can.

    `worker` is said apart: pages are served without a worker, only plans and papers wait.
    """

    faults: tuple[str, ...] = ()
    worker: str = ""

    @property
    def is_ready(self) -> bool:
        """Whether pages can be served."""
        return not self.faults


def readiness(at: datetime | None = None) -> Readiness:
    """What is wrong at this moment."""
    try:
        missing = missing_migrations()
        if missing:
            return Readiness(faults=(f"{missing} migrations are missing; run “migrate”.",))
        return Readiness(worker=worker_fault(at or timezone.now()))
    except DatabaseError:
        return Readiness(faults=("The database does not answer.",))


def missing_migrations() -> int:
    """Migrations that the database does not have yet."""
    executor = MigrationExecutor(connection)
    return len(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def worker_fault(at: datetime) -> str:
    """What is wrong with the worker, or nothing."""
    last = Heartbeat.objects.filter(name=WORKER).first()
    if last is None:
        return "The worker has not shown itself yet; start it beside the web server."
    if at - last.at > longest_silence():
        return f"The worker has been silent since {last.at:%Y-%m-%d %H:%M:%S} UTC; look at its log."
    return ""


def longest_silence() -> timedelta:
    """How long a busy worker may go without a sweep before it counts as lost."""
    return timedelta(seconds=max(60, 6 * settings.SWEEP_SECONDS))


def beat() -> None:
    """Write that the worker lives."""
    Heartbeat.objects.update_or_create(name=WORKER, defaults={"at": timezone.now()})
