"""What the worker does for the workshop."""

from uuid import UUID

from celery import shared_task

from shop.services import broker, health, jobs, plan_changes, planning, scenario_planning

KINDS = (planning.KIND, scenario_planning.KIND)
"""The jobs of the workshop; a worker knows them by having read their services."""


@shared_task
def run_job(job_id: str) -> None:
    """Do one job."""
    jobs.run(UUID(job_id))


@shared_task
def heed(workshop_id: int) -> None:
    """Have the plan of a workshop mended if what happened there disturbs it."""
    planning.heed(workshop_id)


@shared_task
def sweep() -> None:
    """Show that the worker lives, pick up what was lost, plan where the plan is stale."""
    health.beat()
    jobs.sweep()
    planning.sweep()


@shared_task
def tidy() -> None:
    """Throw away old jobs, old plans and old messages."""
    jobs.tidy()
    planning.tidy()
    plan_changes.tidy()
    broker.tidy()
