"""Messages in a folder: whole, and each taken by one reader."""

import subprocess
import sys
from pathlib import Path
from queue import Empty

import pytest
from kombu import Connection, Exchange, Queue

from tests.shop.worker import ROOT, wait_until

QUEUE = Queue("t", Exchange("t"), routing_key="t")
SENDER = """
import sys
from kombu import Connection, Exchange, Queue
folder, count = sys.argv[1], int(sys.argv[2])
options = {"data_folder_in": folder, "data_folder_out": folder, "control_folder": folder + "/control"}
queue = Queue("t", Exchange("t"), routing_key="t")
transport = "shop.folder_transport:Transport"
with Connection("localhost", transport=transport, transport_options=options) as sender:
    for number in range(count):
        sender.Producer().publish(
            {"n": number}, exchange=queue.exchange, routing_key="t", declare=[queue]
        )
"""


def connection(folder: Path | str) -> Connection:
    """A connection to the folder."""
    return Connection(
        "localhost",
        transport="shop.folder_transport:Transport",
        transport_options={
            "data_folder_in": str(folder),
            "data_folder_out": str(folder),
            "control_folder": str(Path(folder) / "control"),
        },
    )


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "control").mkdir()
    return tmp_path


def test_what_is_sent_is_received_in_order(folder):
    with connection(folder) as here:
        channel = here.default_channel
        queue = QUEUE(channel)
        queue.declare()
        for number in range(3):
            here.Producer().publish({"n": number}, exchange=QUEUE.exchange, routing_key="t")
        assert [queue.get(no_ack=True).payload["n"] for _ in range(3)] == [0, 1, 2]
        assert queue.get(no_ack=True) is None


def test_two_senders_and_two_readers_lose_and_double_nothing(folder):
    with connection(folder) as here, connection(folder) as there:
        queues = [QUEUE(one.default_channel) for one in (here, there)]
        for queue in queues:
            queue.declare()
        command = [sys.executable, "-c", SENDER, str(folder), "400"]
        senders = [subprocess.Popen(command, cwd=ROOT) for _ in range(2)]
        found = []

        def all_read():
            found.extend(m for m in (queue.get(no_ack=True) for queue in queues) if m)
            return len(found) == 800

        wait_until(all_read, every=0)
        assert [sender.wait() for sender in senders] == [0, 0]
        assert sorted(message.payload["n"] for message in found) == sorted([*range(400)] * 2)
    assert list(folder.glob("*.msg")) == []


def test_half_a_message_is_not_seen(folder):
    (folder / "1_x.t.part").write_text("{")
    with connection(folder) as here, pytest.raises(Empty):
        here.default_channel._get("t")
