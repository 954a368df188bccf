"""The only command line: `python -m shop COMMAND`."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from tempfile import TemporaryDirectory

from django.core.management import execute_from_command_line

STORES_NOTHING = "calculate"


def main() -> None:
    """Run one of Trenail's or Django's commands."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    spared = no_data_folder() if sys.argv[1:2] == [STORES_NOTHING] else nullcontext()
    with spared:
        execute_from_command_line(["python -m shop", *sys.argv[1:]])


@contextmanager
def no_data_folder() -> Iterator[None]:
    """Let a command that stores nothing run where no data folder can be made or read."""
    with TemporaryDirectory() as folder:
        os.environ.update(
            TRENAIL_DATA=folder, TRENAIL_BROKER=folder, TRENAIL_SECRET_KEY=folder, DATABASE_URL=""
        )
        yield


if __name__ == "__main__":
    main()
