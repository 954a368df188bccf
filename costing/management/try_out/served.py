"""`python -m shop serve` in a process of its own, for as long as it is visited."""

import socket
import subprocess
import sys
import time
from pathlib import Path
from types import TracebackType
from typing import Self
from urllib.error import URLError
from urllib.request import urlopen

READY_SECONDS = 240.0
END_SECONDS = 30.0
TAIL_LINES = 30


class NotServed(Exception):
    """The server did not do what it should; the message says what."""


class Served:
    """The workshop at an address; its end is the end of the server, its words are in a log."""

    def __init__(self, port: int, log: Path) -> None:
        self.port = port if is_free(port) else a_free_port()
        self.log = log
        self.process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        """Where it is, without a slash at the end."""
        return f"http://127.0.0.1:{self.port}"

    def __enter__(self) -> Self:
        with self.log.open("wb") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "shop", "serve", "--port", str(self.port)],
                stdout=log,
                stderr=log,
            )
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self.process is None:
            return
        self.process.terminate()
        try:
            self.process.wait(END_SECONDS)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()

    def wait_until_ready(self) -> None:
        """Raise NotServed if it ends, or does not answer in time."""
        end = time.monotonic() + READY_SECONDS
        while time.monotonic() < end:
            if self.process is None or self.process.poll() is not None:
                raise NotServed("The server ended before it answered.")
            if self._answers():
                return
            time.sleep(0.3)
        raise NotServed(f"The server did not get ready in {READY_SECONDS:.0f} seconds.")

    def tail(self) -> str:
        """The last lines of its log."""
        lines = self.log.read_text(errors="replace").splitlines() if self.log.exists() else []
        return "\n".join(lines[-TAIL_LINES:])

    def _answers(self) -> bool:
        try:
            with urlopen(f"{self.address}/readyz", timeout=5) as answer:
                return bool(answer.status == 200)
        except (URLError, OSError):
            return False


def is_free(port: int) -> bool:
    """Whether something may listen on a port of this machine."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError:
            return False
    return True


def a_free_port() -> int:
    """A port on which nothing listens."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
