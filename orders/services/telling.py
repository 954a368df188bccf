"""Telling the planner that something has happened; untold, it looks by itself before long."""

from __future__ import annotations

import logging
from functools import partial

from celery import current_app
from django.db import transaction
from kombu.exceptions import ChannelError, OperationalError

log = logging.getLogger(__name__)


def tell_planner(workshop_id: int) -> None:
    """Once what is being written stands, have a worker look whether the plan is disturbed by it."""
    transaction.on_commit(partial(_tell, workshop_id))


def _tell(workshop_id: int) -> None:
    try:
        current_app.tasks["shop.tasks.heed"].delay(workshop_id)
    except (ChannelError, OperationalError, OSError):
        log.warning("The planner could not be told of a change in shop %s.", workshop_id)
