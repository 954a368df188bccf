"""The only command line: `python -m shop COMMAND`."""

import os
import sys

from django.core.management import execute_from_command_line


def main() -> None:
    """Run one of Trenail's or Django's commands."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    execute_from_command_line(["python -m shop", *sys.argv[1:]])


if __name__ == "__main__":
    main()
