"""The workshop: people, benches, machines, calendars, clocking and the schedule."""

from shop.celery import app as celery_app

__all__ = ["celery_app"]
