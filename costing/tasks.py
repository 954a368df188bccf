"""What the worker does for costing."""

from celery import shared_task
from django.utils import timezone

from costing.services import learning, quotes


@shared_task
def expire() -> None:
    """Every hour: mark the quotes whose last day is over where their workshop is."""
    quotes.expire(timezone.now())


@shared_task
def learn() -> None:
    """Every night: learn from the clockings of each workshop that has any."""
    learning.sweep()
