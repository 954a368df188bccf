"""The figures of the trade that costing holds as data, each row with its source."""

import csv
from importlib.resources import files


def rows_of(name: str) -> list[dict[str, str]]:
    """The rows of costing/data/<name>.csv, by column heading."""
    text = files("costing").joinpath("data", f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))
