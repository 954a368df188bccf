"""Tries the demo out: starts a server, visits it over HTTP as its users would, and stops it."""

import tempfile
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from costing.management.try_out.served import NotServed, Served
from costing.management.try_out.tour import tour
from costing.management.try_out.visitor import Surprise


class Command(BaseCommand):
    """The `try_out` command."""

    help = "Start a server, sign in as each role, print the papers, plan, and stop it again."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, default=8000, help="or a free one, if it is taken")

    def handle(self, *args: Any, **options: Any) -> None:
        """Say what was done; fail with a sentence and the end of the server's log."""
        with tempfile.TemporaryDirectory() as folder:
            served = Served(options["port"], Path(folder) / "serve.log")
            try:
                with served:
                    self.visit(served)
            except (NotServed, Surprise, OSError) as error:
                raise CommandError(f"{error}\nThe server's last words:\n{served.tail()}") from error
        self.stdout.write("All of it is as it should be; the server is stopped.")

    def visit(self, served: Served) -> None:
        """Wait for the server and walk through it."""
        served.wait_until_ready()
        self.stdout.write(f"Trenail answers at {served.address}/")
        for sentence in tour(served.address):
            self.stdout.write(f"  {sentence}")
            self.stdout.flush()
