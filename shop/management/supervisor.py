"""Keeps a few processes running: starts them, restarts what dies, stops them together."""

from __future__ import annotations

import ctypes
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from time import monotonic, sleep

TICK = 0.2
FIRST_PAUSE = 0.5
LONGEST_PAUSE = 30.0
SETTLED = 60.0
PR_SET_PDEATHSIG = 1

Say = Callable[[str], object]


class Child:
    """One process, in a group of its own, with the pause before its next start."""

    def __init__(self, name: str, command: Sequence[str]) -> None:
        self.name, self.command = name, list(command)
        self.process: subprocess.Popen[bytes] | None = None
        self.started_at = 0.0
        self.next_start = 0.0
        self.pause = FIRST_PAUSE

    def start(self) -> None:
        """Begin the process."""
        self.process = subprocess.Popen(
            self.command, start_new_session=True, preexec_fn=_end_with_parent
        )
        self.started_at = monotonic()

    def has_died(self) -> bool:
        """Whether it ran and ended by itself."""
        return self.process is not None and self.process.poll() is not None

    def bury(self) -> int:
        """Clear away what a dead process left in its group, and put off the next start.

        Each death soon after a start doubles the pause; gives back how the process ended.
        """
        if self.process is None:
            raise AssertionError("only what has run can have died")
        code = self.process.wait()
        self._signal_group(signal.SIGKILL)
        now = monotonic()
        lived = now - self.started_at
        self.pause = FIRST_PAUSE if lived > SETTLED else min(self.pause * 2, LONGEST_PAUSE)
        self.next_start = now + self.pause
        self.process = None
        return code

    def signal(self, number: int) -> None:
        """Pass a signal to the process itself, which looks after its own."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(number)

    def kill(self) -> None:
        """End the process and everything it started."""
        if self.process is not None:
            self._signal_group(signal.SIGKILL)
            self.process.wait()

    def _signal_group(self, number: int) -> None:
        if self.process is not None:
            with suppress(ProcessLookupError, PermissionError):
                os.killpg(self.process.pid, number)


class Supervisor:
    """Runs its children until it is told to stop."""

    def __init__(self, children: Sequence[Child], *, grace: float, say: Say) -> None:
        self.children = list(children)
        self.grace, self.say = grace, say
        self.is_stopping = False

    def run(self, *, each_tick: Callable[[], object] = lambda: None) -> None:
        """Start the children, restart those that die, and return after a signal to stop."""
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, self._stop)
        signal.signal(signal.SIGHUP, self._pass_on)
        try:
            for child in self.children:
                child.start()
            while not self.is_stopping:
                self._tend()
                each_tick()
                sleep(TICK)
        finally:
            self._end()

    def _tend(self) -> None:
        for child in self.children:
            if child.has_died():
                code = child.bury()
                self.say(f"The {child.name} ended ({_how(code)}); starting it again.")
            if child.process is None and monotonic() >= child.next_start:
                child.start()

    def _stop(self, *_: object) -> None:
        self.is_stopping = True

    def _pass_on(self, number: int, _: object) -> None:
        for child in self.children:
            child.signal(number)

    def _end(self) -> None:
        """Ask the children to end their work; those that take too long are killed."""
        for child in self.children:
            child.signal(signal.SIGTERM)
        limit = monotonic() + self.grace
        while monotonic() < limit and any(_is_running(child) for child in self.children):
            sleep(TICK / 2)
        for child in self.children:
            child.kill()


def _is_running(child: Child) -> bool:
    return child.process is not None and child.process.poll() is None


def _how(code: int) -> str:
    return f"signal {-code}" if code < 0 else f"exit code {code}"


def _end_with_parent() -> None:
    """On Linux, have a child stop when the supervisor itself is killed."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGTERM)
