"""What the worker does for costing."""

from celery import shared_task

from costing.services import learning


@shared_task
def learn() -> None:
    """Every night: learn from the clockings of each workshop that has any."""
    learning.sweep()
