"""Processes are kept running, and end together."""

import os
import signal
import sys
import threading
import time
from pathlib import Path

import pytest

from shop.management.supervisor import FIRST_PAUSE, LONGEST_PAUSE, Child, Supervisor

SLEEP = [sys.executable, "-c", "import time; time.sleep(60)"]
DIE = [sys.executable, "-c", "raise SystemExit(3)"]
STUBBORN = [
    sys.executable,
    "-c",
    "import signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN); print(1, flush=True);"
    "time.sleep(60)",
]


@pytest.fixture(autouse=True)
def _signals_as_before():
    kept = {n: signal.getsignal(n) for n in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP)}
    yield
    for number, handler in kept.items():
        signal.signal(number, handler)


def supervised(*children, grace=5.0, until, said=None):
    """Run a supervisor until a claim holds (it gets a SIGTERM then), ten seconds at most."""
    words = said if said is not None else []
    supervisor = Supervisor(children, grace=grace, say=words.append)
    limit = time.monotonic() + 10

    def look():
        if until() or time.monotonic() > limit:
            os.kill(os.getpid(), signal.SIGTERM)

    supervisor.run(each_tick=look)
    return words


def is_alive(pid: int) -> bool:
    """Whether the process is there and is more than a body waiting to be buried."""
    try:
        return "\nState:\tZ" not in Path(f"/proc/{pid}/status").read_text()
    except FileNotFoundError:
        return False


def test_a_killed_child_is_started_again():
    child = Child("sleeper", SLEEP)
    pids = []

    def killed_once():
        if child.process is not None and child.process.pid not in pids:
            pids.append(child.process.pid)
            if len(pids) == 1:
                child.process.kill()
        return len(pids) == 2

    said = supervised(child, until=killed_once)
    assert said == ["The sleeper ended (signal 9); starting it again."]
    assert not any(is_alive(pid) for pid in pids)


def test_a_child_that_dies_at_once_is_started_ever_more_slowly():
    child = Child("weakling", DIE)
    said = []
    supervised(child, until=lambda: len(said) == 2, said=said)
    assert said == ["The weakling ended (exit code 3); starting it again."] * 2
    assert child.pause == 4 * FIRST_PAUSE
    for _ in range(10):
        child.start()
        child.process.wait()
        child.bury()
    assert child.pause == LONGEST_PAUSE


def test_a_stubborn_child_is_killed_after_the_grace():
    child = Child("mule", STUBBORN)
    began = time.monotonic()
    supervised(child, grace=0.5, until=lambda: time.monotonic() - began > 1)
    assert child.process.returncode == -signal.SIGKILL


def test_what_a_dead_child_started_does_not_outlive_it(tmp_path):
    note = tmp_path / "pid"
    code = (
        "import subprocess, sys, os, pathlib;"
        "p = subprocess.Popen([sys.executable, '-c', 'import time; time.sleep(60)']);"
        f"pathlib.Path({str(note)!r}).write_text(str(p.pid)); os.kill(os.getpid(), 9)"
    )
    child = Child("parent", [sys.executable, "-c", code])
    child.start()
    child.process.wait()
    grandchild = int(note.read_text())
    assert is_alive(grandchild)
    child.bury()
    deadline = time.monotonic() + 5
    while is_alive(grandchild) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not is_alive(grandchild)


def test_hup_is_passed_on(tmp_path):
    note = tmp_path / "hup"
    ready = tmp_path / "ready"
    code = (
        "import signal, time, pathlib;"
        f"signal.signal(signal.SIGHUP, lambda *_: pathlib.Path({str(note)!r}).touch());"
        f"pathlib.Path({str(ready)!r}).touch();"
        "[time.sleep(0.05) for _ in range(400)]"
    )
    sent = threading.Event()

    def heard():
        if ready.exists() and not sent.is_set():
            sent.set()
            os.kill(os.getpid(), signal.SIGHUP)
        return note.exists()

    supervised(Child("listener", [sys.executable, "-c", code]), until=heard)
    assert note.exists()
