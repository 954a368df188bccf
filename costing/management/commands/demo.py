"""Loads the demo: an invented workshop with three weeks of work, ready to be looked at."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from costing.management.demo import people
from costing.management.demo.telling import tell


class Command(BaseCommand):
    """The `demo` command."""

    help = "Load the invented workshop of the demo; run again, it keeps the data."

    def handle(self, *args: Any, **options: Any) -> None:
        """Tell the story once, and always say how to sign in."""
        if people.is_there():
            self.stdout.write("The demo is there already; its data are kept.")
        else:
            tell(timezone.now())
            self.stdout.write("The demo is loaded. All its names and figures are invented.")
        for role, email in people.sign_ins():
            self.stdout.write(f"  {role:<10} {email:<30} {people.PASSWORD}")
