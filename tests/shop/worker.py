"""A real worker in a process of its own, on the database of the test."""

import os
import subprocess
import time
from pathlib import Path
from urllib.parse import quote, urlsplit

from django.conf import settings
from django.db import connection

from shop.management.commands.serve import beat_command, worker_command

ROOT = Path(__file__).parents[2]
LEASE = 5


def database_url() -> str:
    """The address of the test's own database."""
    given = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{given['NAME']}"
    who = quote(given["USER"]) + (f":{quote(given['PASSWORD'])}" if given["PASSWORD"] else "")
    return f"postgres://{who}@{given['HOST']}:{given['PORT'] or 5432}/{given['NAME']}"


def redis_url() -> str:
    """The address of the test's own Redis database, as each process of the tests has one of its own.

    Two workers of one queue take each other's messages, and find no such job in their own rows.
    """
    if not settings.REDIS_URL:
        return ""
    given = urlsplit(settings.REDIS_URL)
    process = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw"))
    return given._replace(path=f"/{int(given.path.strip('/') or 0) + process}").geturl()


class Worker:
    """Starts, kills and stops a worker and the clock of its periodic tasks, as `serve` does."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.process: subprocess.Popen[bytes] | None = None
        self.clock: subprocess.Popen[bytes] | None = None
        self.environment = {
            **os.environ,
            "DATABASE_URL": database_url(),
            "TRENAIL_DATA": str(folder),
            "TRENAIL_BROKER": str(folder / "broker"),
            "TRENAIL_DEBUG": "yes",
            "TRENAIL_JOB_LEASE": str(LEASE),
            "TRENAIL_SWEEP": "1",
            "TRENAIL_PLANNING_SECONDS": "2",
            "TRENAIL_COMPILED_SEARCH": "no",
            "REDIS_URL": redis_url(),
        }

    def start(self) -> None:
        """Begin; it is ready some two seconds later."""
        self.process = self._begin([*worker_command(), "--include", "tests.shop.works"])
        if self.clock is None:
            command = beat_command()
            command[command.index("--schedule") + 1] = str(self.folder / "beat")
            self.clock = self._begin(command)

    def kill(self) -> None:
        """Kill the worker, as the system does when memory runs out."""
        self.process.kill()
        self.process.wait()
        self.process = None

    def end(self) -> None:
        """Stop both, and fail if they do not end by themselves."""
        running = [process for process in (self.clock, self.process) if process is not None]
        for process in running:
            process.terminate()
        try:
            for process in running:
                process.wait(timeout=30)
        finally:
            for process in running:
                process.kill()
                process.wait()

    def _begin(self, command: list[str]) -> subprocess.Popen[bytes]:
        with (self.folder / "worker.log").open("ab") as log:
            return subprocess.Popen(command, cwd=ROOT, env=self.environment, stdout=log, stderr=log)

    @property
    def log(self) -> str:
        """What it wrote."""
        return (self.folder / "worker.log").read_text(errors="replace")


def wait_until(claim, seconds: float = 90, every: float = 0.05):
    """What the claim gives once it is true; an error if that takes too long."""
    limit = time.monotonic() + seconds
    while time.monotonic() < limit:
        found = claim()
        if found:
            return found
        time.sleep(every)
    raise AssertionError(f"not within {seconds} seconds")
