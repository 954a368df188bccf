"""The invented figures of the demo, as files that can be read and edited."""

import csv
import json
from importlib.resources import files
from typing import Any

FOLDER = files("costing").joinpath("data", "demo")


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a table of the demo, by column heading."""
    text = FOLDER.joinpath(f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def order_file(name: str) -> dict[str, Any]:
    """A commission of the demo, as an order file."""
    text = FOLDER.joinpath("commissions", f"{name}.json").read_text(encoding="utf-8")
    document: dict[str, Any] = json.loads(text)
    return document


def offer(name: str) -> dict[str, Any]:
    """What the demo arranges for an offer beside its estimate."""
    text = FOLDER.joinpath("offers", f"{name}.json").read_text(encoding="utf-8")
    document: dict[str, Any] = json.loads(text)
    return document
