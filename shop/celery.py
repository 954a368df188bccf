"""The worker's application."""

import os
from threading import Thread

from celery import Celery
from celery.signals import worker_process_init
from django.conf import settings

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")

app = Celery("shop")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["shop", "costing"])


@worker_process_init.connect  # type: ignore[untyped-decorator]
def get_ready(**_: object) -> None:
    """Compiles the planner's search beside the first jobs, which need not wait for it."""
    if settings.COMPILED_SEARCH:
        from shop.core.plan import compiled

        Thread(target=compiled.get_ready, daemon=True).start()
