"""Ask one of the cores by a JSON document: no database, no data folder, no network."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from pydantic import TypeAdapter

from costing.services.calculators import CALCULATORS, UNHURRIED
from costing.services.calculators.joint import ListedType, list_types
from costing.services.calculators.refusal import refusal
from orders.core.errors import WorkshopError

BAD_DOCUMENT = 2


class Command(BaseCommand):
    """`calculate joint|estimate|costs|cutting|schedule|labour|study`: a document in, a document out."""

    help = "Read one JSON document on standard input and write the answer on standard output."
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The calculator, and what to print instead of an answer."""
        parser.add_argument("calculator", choices=list(CALCULATORS))
        instead = parser.add_mutually_exclusive_group()
        instead.add_argument(
            "--schema", action="store_true", help="print the JSON Schemas of both documents"
        )
        instead.add_argument(
            "--list", action="store_true", help="print the joint types and their dimensions"
        )

    def handle(self, *args: Any, calculator: str, schema: bool, list: bool, **options: Any) -> None:
        """Answer, or say on standard error what is wrong and leave with 2."""
        asked = CALCULATORS[calculator]
        if list and calculator != "joint":
            raise CommandError("Only joint has types to list.", returncode=BAD_DOCUMENT)
        if list:
            self.say(TypeAdapter(tuple[ListedType, ...]).dump_python(list_types(), mode="json"))
        elif schema:
            self.say({"input": asked.document_schema(), "output": asked.answer_schema()})
        else:
            try:
                self.say(asked.calculate(sys.stdin.buffer.read(), UNHURRIED))
            except WorkshopError as error:
                self.stderr.write(written(refusal(error)), style_func=str)
                sys.exit(BAD_DOCUMENT)

    def say(self, document: Any) -> None:
        """Write a document."""
        self.stdout.write(written(document))


def written(document: Any) -> str:
    """A document as text, in ASCII, so that no terminal's encoding can break it."""
    return json.dumps(document, indent=2, allow_nan=False)
