"""The folder through which messages go when there is no broker to run."""

from __future__ import annotations

from pathlib import Path
from time import time

from django.conf import settings

OLD_SECONDS = 24 * 3600


def folder() -> Path | None:
    """The folder of messages, or None where a server carries them."""
    if not settings.CELERY_BROKER_URL.startswith("filesystem://"):
        return None
    return Path(str(settings.CELERY_BROKER_TRANSPORT_OPTIONS["data_folder_in"]))


def make() -> None:
    """Make the folder and the one for the worker's own notes."""
    here = folder()
    if here is not None:
        here.mkdir(parents=True, exist_ok=True)
        control = settings.CELERY_BROKER_TRANSPORT_OPTIONS["control_folder"]
        Path(str(control)).mkdir(parents=True, exist_ok=True)


def tidy(older_than: float = OLD_SECONDS) -> int:
    """Throw away messages that no worker ever took; the rows they spoke of are swept up anyway."""
    here = folder()
    if here is None or not here.is_dir():
        return 0
    limit = time() - older_than
    old = [file for file in here.iterdir() if file.is_file() and _written(file) < limit]
    for file in old:
        file.unlink(missing_ok=True)
    return len(old)


def _written(file: Path) -> float:
    """When the file was last written; now, if a worker has just taken it."""
    try:
        return file.stat().st_mtime
    except FileNotFoundError:
        return time()
