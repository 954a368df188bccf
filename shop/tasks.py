"""What the worker does for the workshop."""

from uuid import UUID

from celery import shared_task

from shop.services import jobs


@shared_task
def run_job(job_id: str) -> None:
    """Do one job."""
    jobs.run(UUID(job_id))


@shared_task
def sweep() -> None:
    """Pick up what was lost."""
    jobs.sweep()
