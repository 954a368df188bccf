"""One command serves the workshop, and survives the death of what it started."""

import os
import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from shop.management.commands import serve
from shop.models import Heartbeat
from tests.shop.worker import ROOT, database_url, redis_url, wait_until


def a_free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Served:
    """`python -m shop serve` in a process of its own."""

    def __init__(self, folder: Path) -> None:
        self.port = a_free_port()
        self.log = folder / "serve.log"
        environment = {
            **os.environ,
            "DATABASE_URL": database_url(),
            "TRENAIL_DATA": str(folder),
            "TRENAIL_BROKER": str(folder / "broker"),
            "TRENAIL_DEBUG": "yes",
            "TRENAIL_SWEEP": "1",
            "TRENAIL_COMPILED_SEARCH": "no",
            "REDIS_URL": redis_url(),
        }
        with self.log.open("wb") as log:
            self.process = subprocess.Popen(
                [
                    *(sys.executable, "-m", "shop", "serve", "--port", str(self.port)),
                    *("--jobs", "1", "--web-workers", "1"),
                ],
                cwd=ROOT,
                env=environment,
                stdout=log,
                stderr=log,
            )

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/"

    def said(self, words: str) -> bool:
        return words in self.log.read_text(errors="replace")

    def children(self) -> dict[str, int]:
        """What runs under it, by the word that tells them apart."""
        pid = self.process.pid
        found = {}
        for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split():
            command = Path(f"/proc/{child}/cmdline").read_text()
            found[next(w for w in ("gunicorn", "beat", "worker") if f"\0{w}\0" in command)] = int(
                child
            )
        return found


@pytest.fixture
def served(transactional_db, tmp_path):
    made = Served(tmp_path)
    yield made
    made.process.kill()
    made.process.wait()


@pytest.mark.slow
def test_it_serves_restarts_what_dies_and_ends_cleanly(served):
    wait_until(lambda: served.said(f"Trenail is at {served.address}"))
    with urllib.request.urlopen(f"{served.address}healthz", timeout=90) as answer:
        assert answer.status == 200
    wait_until(Heartbeat.objects.exists)
    before = served.children()
    assert set(before) == {"gunicorn", "worker", "beat"}

    for victim in before.values():
        os.kill(victim, signal.SIGKILL)
    wait_until(lambda: served.said("The worker 1 ended (signal 9); starting it again."))
    killed_at = timezone.now()
    wait_until(lambda: Heartbeat.objects.filter(at__gt=killed_at).exists())
    wait_until(lambda: serve.answers("127.0.0.1", served.port))
    after = served.children()
    assert set(after.values()).isdisjoint(before.values())

    served.process.send_signal(signal.SIGTERM)
    assert served.process.wait(timeout=90) == 0
    assert served.said("Stopped.")
    assert not any(Path(f"/proc/{pid}").exists() for pid in after.values())
    assert not served.said("Traceback")


@pytest.mark.slow
def test_its_children_stop_when_it_is_killed_itself(served):
    wait_until(Heartbeat.objects.exists)
    children = served.children().values()
    served.process.kill()
    served.process.wait()
    wait_until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in children), seconds=20)


@pytest.mark.django_db
def test_a_port_that_is_taken_is_refused():
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        with pytest.raises(CommandError, match="Choose another port"):
            call_command("serve", port=other.getsockname()[1])


@pytest.mark.django_db
def test_missing_migrations_are_refused(monkeypatch):
    monkeypatch.setattr(serve, "missing_migrations", lambda: 2)
    with pytest.raises(CommandError, match="2 migrations are missing"):
        call_command("serve", port=a_free_port())


def test_nothing_to_serve_is_refused():
    with pytest.raises(CommandError, match="nothing to serve"):
        call_command("serve", no_web=True, no_worker=True)


def names(**options) -> list[str]:
    chosen = {
        "host": "127.0.0.1",
        "port": 8000,
        "web_workers": 2,
        "threads": 4,
        "grace": 20,
        "jobs": 2,
        "no_web": False,
        "no_worker": False,
        "no_beat": False,
    }
    return [child.name for child in serve.children_for({**chosen, **options})]


def test_what_is_started_can_be_chosen():
    assert names() == ["web server", "worker 1", "worker 2", "clock"]
    assert names(no_worker=True) == ["web server"]
    assert names(no_web=True, no_beat=True, jobs=1) == ["worker 1"]


def test_addresses_are_shown_as_one_types_them():
    assert serve.shown("0.0.0.0") == "127.0.0.1"
    assert serve.shown("::") == "[::1]"
    assert serve.shown("fe80::1") == "[fe80::1]"
